"""The tables of the Darwin Core Archive: which terms their columns are, and their rows.

Terms and row types: Darwin Core (TDWG) and GBIF's definitions of the extensions. A column that nothing is known for
stands nowhere: no kingdom, no day of a change, and of the species profile the form of growth alone, in our own words.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sporeproof.form.load import Form
from sporeproof.release.content import Content
from sporeproof.release.formats.exchange import wording
from sporeproof.release.formats.exchange.facts import facts, sources_said
from sporeproof.release.formats.exchange.flat import Flat
from sporeproof.release.formats.exchange.usages import CODE, usages
from sporeproof.release.nested import nested

Record = dict[str, Any]

DWC = "http://rs.tdwg.org/dwc/terms/"
GBIF = "http://rs.gbif.org/terms/1.0/"
DCTERMS = "http://purl.org/dc/terms/"
NAMESPACES = {"dwc": DWC, "gbif": GBIF, "dcterms": DCTERMS}
ENGLISH = "en"
# The type of a relationship is in our own words: no vocabulary of relationships speaks of likeness.
TAKEN_FOR = "can be taken for"
PRESENT = "present"
# The prefix tells that a code of a place is one of ISO 3166, as in the examples of GBIF's definition.
ISO = "ISO:"


@dataclass(frozen=True, slots=True)
class Shape:
    """A table of the archive: its file, the term of its row type, and those of its columns behind the taxon's id."""

    file: str
    row_type: str
    terms: tuple[str, ...]

    @property
    def columns(self) -> tuple[str, ...]:
        """The names of the columns; the first is the id of the taxon."""
        return ("taxonID", *(each.partition(":")[2] for each in self.terms))


def term(short: str) -> str:
    """Return the IRI of a term from its short form.

    >>> term("dwc:taxonRank")
    'http://rs.tdwg.org/dwc/terms/taxonRank'
    """
    prefix, _, name = short.partition(":")
    return NAMESPACES[prefix] + name


CORE = Shape(
    "taxon.csv", "dwc:Taxon",
    ("dwc:acceptedNameUsageID", "dwc:scientificName", "dwc:scientificNameAuthorship", "dwc:taxonRank", "dwc:family",
     "dwc:nomenclaturalCode", "dwc:taxonomicStatus", "dwc:taxonRemarks"),
)  # fmt: skip
VERNACULAR = Shape(
    "vernacularname.csv", "gbif:VernacularName",
    ("dwc:vernacularName", "dcterms:language", "gbif:isPreferredName", "dwc:taxonRemarks"),
)  # fmt: skip
DISTRIBUTION = Shape(
    "distribution.csv", "gbif:Distribution",
    ("dwc:locationID", "dwc:countryCode", "dwc:occurrenceStatus", "dcterms:source", "dwc:occurrenceRemarks"),
)  # fmt: skip
DESCRIPTION = Shape(
    "description.csv", "gbif:Description",
    ("dcterms:type", "dcterms:description", "dcterms:language", "dcterms:source"),
)  # fmt: skip
FACT = Shape(
    "measurementorfact.csv", "dwc:MeasurementOrFact",
    ("dwc:measurementID", "dwc:measurementType", "dwc:measurementValue", "dwc:measurementUnit",
     "dwc:measurementRemarks"),
)  # fmt: skip
RELATIONSHIP = Shape(
    "resourcerelationship.csv", "dwc:ResourceRelationship",
    ("dwc:resourceRelationshipID", "dwc:resourceID", "dwc:relatedResourceID", "dwc:relationshipOfResource",
     "dwc:relationshipAccordingTo", "dwc:relationshipRemarks"),
)  # fmt: skip
REFERENCE = Shape(
    "reference.csv", "gbif:Reference",
    ("dcterms:identifier", "dcterms:bibliographicCitation", "dcterms:date", "dcterms:description"),
)  # fmt: skip
PROFILE = Shape("speciesprofile.csv", "gbif:SpeciesProfile", ("gbif:lifeForm", "dcterms:source"))
EXTENSIONS = (VERNACULAR, DISTRIBUTION, DESCRIPTION, PROFILE, FACT, RELATIONSHIP, REFERENCE)
# The character that tells how a fruitbody is built.
BODY = "body"


def tables(content: Content) -> dict[Shape, Flat]:
    """Return every table of the archive, taxon by taxon in the order of the ids."""
    made = {shape: Flat(shape.file, shape.columns) for shape in (CORE, *EXTENSIONS)}
    for each in usages(content):
        made[CORE].add(
            each.id, each.accepted, each.whole, each.authorship, each.rank, each.family, CODE, each.status, each.remarks
        )
    cited = {row["source_id"]: row for row in content.rows["sources"]}
    for id, record in nested(content):
        _add(made, id, record, content.form, cited)
        _add_links(made, id, record, content.form, cited)
    return made


def _add(made: dict[Shape, Flat], id: str, record: Record, form: Form, cited: dict[str, Any]) -> None:
    """Add what is said of one taxon by itself."""
    for each in record["vernacular"]:
        tag = each["language"]
        made[VERNACULAR].add(id, each["name"], language(tag)[0], each["preferred"], tagged(tag))
    for region in regions(record):
        country, seen = region.partition("-")[0], _cited(seen_by(record, region), cited)
        made[DISTRIBUTION].add(id, f"{ISO}{region}", country, PRESENT, seen, wording.season(record, region))
    for type, text, ids in _descriptions(record, form):
        made[DESCRIPTION].add(id, type, text, ENGLISH, _cited(ids, cited))
    if bodies := [each for each in record["characters"] if each["character_id"] == BODY]:
        built = " or ".join(dict.fromkeys(state for each in bodies for state in each["states"]))
        made[PROFILE].add(id, built, _cited({source for each in bodies for source in each["source_ids"]}, cited))
    for fact in facts(record, form):
        made[FACT].add(id, fact.id, fact.type, fact.value, fact.unit, fact.remarks_with_sources)


def _add_links(made: dict[Shape, Flat], id: str, record: Record, form: Form, cited: dict[str, Any]) -> None:
    """Add the taxa that one can be taken for, and the sources that are more than memory and practice."""
    for each in record["edibility"]["confusions"]:
        other, said = each["with"]["id"], wording.pair(each, form)
        according = _cited(set(each["source_ids"]), cited)
        made[RELATIONSHIP].add(id, f"{id}:{other}", id, other, TAKEN_FOR, according, said)
    for source in sorted(sources_of(record) & cited.keys()):
        row = cited[source]
        if not form.flagged("source-kinds", row["kind"], "built-in"):
            kind = wording.sentence(form, "source-kinds", row["kind"])
            made[REFERENCE].add(id, identifier(row), row["citation"], row["year"], kind)


def language(tag: str) -> tuple[str, str]:
    """Return the language of a BCP 47 tag, as the archives want it, and the rest of the tag."""
    first, _, rest = tag.partition("-")
    return first, rest


def tagged(tag: str) -> str:
    """Return what a language alone does not say of a tag: its script or region; empty where there is no more."""
    return f"BCP 47: {tag}." if language(tag)[1] else ""


def regions(record: Record) -> list[str]:
    """Return the regions where the taxon was observed: where months or hosts are recorded, and nowhere else."""
    found = {each["region"] for each in record["seasons"]}
    if record["region"] and any(each["strength"] for each in record["settings"]):
        found.add(record["region"])
    return sorted(found)


def seen_by(record: Record, region: str) -> set[str]:
    """Return the sources of what was observed in a region."""
    rows = [each for each in record["seasons"] if each["region"] == region]
    if region == record["region"]:
        rows += [each for each in record["settings"] if each["strength"]]
    return {id for each in rows for id in each["source_ids"]}


def _descriptions(record: Record, form: Form) -> Iterator[tuple[str, str, set[str]]]:
    """Yield type, text and sources of each description that there is something to say in."""
    told = record["edibility"]
    said_so = {*told["verdict_source_ids"], *(each["source_id"] for each in told["opinions"])}
    seasons = [wording.season(record, region) for region in sorted({each["region"] for each in record["seasons"]})]
    for type, text, ids in (
        ("edibility", wording.eating(record, form), said_so),
        ("morphology", wording.looks(record, form), _sources(record, "characters", "measurements")),
        ("phenology", " ".join(seasons), _sources(record, "seasons")),
        ("habitat", wording.places(record, form), _sources(record, "settings")),
        ("use", wording.uses(record), set[str]()),
        ("conservation", wording.laws(record, form), {each["source_id"] for each in record["protections"]}),
    ):
        if text:
            yield type, " ".join(filter(None, [text, sources_said(sorted(ids))])), ids


def _sources(record: Record, *parts: str) -> set[str]:
    return {id for part in parts for each in record[part] for id in each["source_ids"]}


def sources_of(record: Record) -> set[str]:
    """Return the ids of all sources that anything said of a taxon rests on."""
    told = record["edibility"]
    found = _sources(record, "characters", "measurements", "seasons", "settings")
    found |= {id for each in told["confusions"] for id in each["source_ids"]}
    found |= {each["source_id"] for each in (*told["opinions"], *record["protections"])}
    return found | set(told["verdict_source_ids"])


def _cited(ids: set[str], cited: dict[str, Any]) -> str:
    return "; ".join((cited[id]["citation"] or id) if id in cited else id for id in sorted(ids))


def identifier(source: Record) -> str:
    """Return a DOI, an ISBN or an address, the surest that is known; empty where none is."""
    if source["doi"]:
        return f"https://doi.org/{source['doi']}"
    return f"urn:isbn:{source['isbn']}" if source["isbn"] else source["url"] or ""
