"""The tables of the Catalogue of Life Data Package, and ``metadata.yaml``, which says what it is.

Files, columns and words: ColDP 1.2 (Catalogue of Life), where the tables of names, references, distributions and
interactions are as its Python package has them; the columns of the other two are from memory. No relation between
names is given: nothing records of which name a wrong spelling is one.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import yaml

from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.form.load import Form
from sporeproof.release.content import Content, Files
from sporeproof.release.formats.exchange import wording
from sporeproof.release.formats.exchange.dwca_tables import language, regions, seen_by, tagged
from sporeproof.release.formats.exchange.dwca_xml import CAUTION
from sporeproof.release.formats.exchange.facts import facts, sources_said
from sporeproof.release.formats.exchange.flat import Flat
from sporeproof.release.formats.exchange.usages import usages
from sporeproof.release.nested import nested
from sporeproof.text import read

Record = dict[str, Any]

METADATA = "metadata.yaml"
# The Code for algae, fungi and plants, and the gazetteer of ISO 3166, in the words of ColDP. From memory.
CODE, GAZETTEER = "botanical", "iso"
HAS_HOST, TAKEN_FOR = "has host", "can be taken for"
WIDE = 1 << 16


def tables(content: Content) -> list[Flat]:
    """Return every table, taxon by taxon in the order of the ids."""
    usage = Flat(
        "NameUsage.csv",
        ("ID", "parentID", "status", "scientificName", "authorship", "rank", "code", "family", "remarks"),
    )
    for each in usages(content):
        family = "" if each.accepted else each.family
        usage.add(
            each.id, each.accepted, each.status, each.name, each.authorship, each.rank, CODE, family, each.remarks
        )
    made = [
        Flat("VernacularName.csv", ("taxonID", "name", "language", "preferred", "remarks")),
        Flat("Distribution.csv", ("taxonID", "area", "gazetteer", "referenceID", "remarks")),
        Flat("SpeciesInteraction.csv", ("taxonID", "relatedTaxonScientificName", "type", "referenceID", "remarks")),
        Flat("TaxonProperty.csv", ("taxonID", "property", "value", "referenceID", "remarks")),
    ]
    for id, record in nested(content):
        _add(made, id, record, content.form)
    return [usage, *made, _references(content)]


def _add(made: list[Flat], id: str, record: Record, form: Form) -> None:
    vernaculars, distributions, interactions, properties = made
    for each in record["vernacular"]:
        tag = each["language"]
        vernaculars.add(id, each["name"], language(tag)[0], each["preferred"], tagged(tag))
    for region in regions(record):
        ids = sorted(seen_by(record, region))
        distributions.add(id, region, GAZETTEER, _only(ids), _said(wording.season(record, region), ids))
    for each in record["settings"]:
        if each["strength"]:
            strength = wording.sentence(form, "host-strengths", each["strength"])
            ids = each["source_ids"]
            interactions.add(id, each["value"], HAS_HOST, _only(ids), _said(strength, ids))
    for row in _properties(record, form):
        properties.add(id, *row)


def _properties(record: Record, form: Form) -> Iterator[tuple[str, str, str, str]]:
    """Yield property, value, reference and remarks of each fact, and of each taxon that it can be taken for."""
    for fact in facts(record, form):
        value = f"{fact.value} {fact.unit}".strip()
        yield fact.type, value, _only(fact.source_ids), fact.remarks_with_sources
    for each in record["edibility"]["confusions"]:
        other, ids = each["with"], each["source_ids"]
        said = f"{other['id']}: {wording.pair(each, form)}"
        yield TAKEN_FOR, other["name"], _only(ids), _said(said, ids)


def _only(ids: list[str] | tuple[str, ...]) -> str:
    """Return the reference of a row, which takes one alone; several stand in the remarks."""
    return ids[0] if len(ids) == 1 else ""


def _said(text: str, ids: list[str]) -> str:
    return " ".join(filter(None, [text, sources_said(ids)]))


def _references(content: Content) -> Flat:
    made = Flat("Reference.csv", ("ID", "citation", "issued", "doi", "isbn", "link", "remarks"))
    for row in content.rows["sources"]:
        kind = wording.sentence(content.form, "source-kinds", row["kind"])
        made.add(row["source_id"], row["citation"], row["year"], row["doi"], row["isbn"], row["url"], kind)
    return made


def metadata(content: Content) -> bytes:
    """Return what the package is, as YAML without tags, anchors or folded lines."""
    words = content.words
    given = words["contributors"]
    told = {
        "title": _line(words["title"]),
        "alias": words["name"],
        "version": content.version,
        "description": _line(words["description"]),
        "license": words["licence"]["name"],
        **({"url": words["homepage"]} if words.get("homepage") else {}),
        "contact": {"organisation": _of(given, "maintainer")[0]},
        "creator": [{"organisation": each} for each in _of(given, "author")],
        "editor": [{"organisation": each} for each in _of(given, "editor")],
        "notes": f"{SAFETY_NOTE} {CAUTION}",
        "taxa": content.provenance["counts"]["taxa"],
        "reviewStates": content.provenance["counts"]["review_state"],
        "contentSha256": content.provenance["content"]["sha256"],
    }
    return yaml.safe_dump(told, sort_keys=False, allow_unicode=True, width=WIDE).encode()


def _of(contributors: list[dict[str, Any]], role: str) -> list[str]:
    """Return the contributors of a role, all of them where nobody has it."""
    return [_line(each["title"]) for each in contributors if role in each.get("roles", ())] or [
        _line(each["title"]) for each in contributors
    ]


def _line(text: str) -> str:
    return " ".join(text.split())


def other_yaml(data: bytes, wanted: bytes) -> Iterator[str]:
    """Yield where a YAML text says anything else than another one; only plain YAML is read."""
    if data == wanted:
        return
    page, mine = read.read_page(data, METADATA), read.read_page(wanted, METADATA)
    if page.root is None or page.troubles:
        trouble = page.troubles[0]
        yield f"cannot be read as plain YAML, line {trouble.at.line}: {trouble.kind}"
        return
    found, told = read.plain(page.root), read.plain(mine.root)
    if not isinstance(found, dict):
        yield "holds no keys"
        return
    keys = [*told, *(key for key in found if key not in told)]
    differing = [plain(str(key)) for key in keys if key not in told or found.get(key) != told[key]]
    yield f"differs in {', '.join(differing)[:200]}" if differing else "says the same, but in other words or order"


def texts(content: Content) -> Files:
    """Return the texts that stand beside the tables."""
    return {METADATA: metadata(content)}
