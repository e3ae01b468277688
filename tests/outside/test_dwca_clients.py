"""The Darwin Core Archive in the hands of programs and lists that others wrote.

- python-dwca-reader (PyPI, BSD) reads it: every row and cell, against the tables.
- Terms of Darwin Core (TDWG) and GBIF's definitions of the core and the extensions: ``dwca_terms``, see its README.
- EML 2.2: the rules of metapype (PyPI, Apache-2.0), since no package that carries its XML Schema was found.
"""

from __future__ import annotations

import csv
import re
import warnings
from collections import defaultdict
from pathlib import Path

import pytest
from dwca.darwincore.utils import qualname as qn
from dwca.read import DwCAReader

from sporeproof.release.formats.to_dwca import PATH, to_dwca
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition
from tests.release.formats import spoiled

with warnings.catch_warnings():  # it reads its own version in a way that Python 3.11 calls outdated
    warnings.simplefilter("ignore", DeprecationWarning)
    from metapype.eml import validate
    from metapype.model import metapype_io

TERMS = Path(__file__).parent / "dwca_terms"
DWC, GBIF, DC = "http://rs.tdwg.org/dwc/terms/", "http://rs.gbif.org/terms/1.0/", "http://purl.org/dc/terms/"


def listed(name: str) -> list[dict[str, str]]:
    with (TERMS / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def data(real):
    return to_dwca(real)[PATH]


@pytest.fixture(scope="module")
def reader(data, tmp_path_factory):
    path = tmp_path_factory.mktemp("dwca") / PATH
    path.write_bytes(data)
    with DwCAReader(str(path)) as opened:
        yield opened


@pytest.fixture(scope="module")
def taxa(reader):
    return {row.id: row.data for row in reader.rows}


@pytest.fixture(scope="module")
def rows(reader):
    """The rows of each extension by its row type, as the reader gives them beside their core row."""
    found = defaultdict(list)
    for core in reader.rows:
        for each in core.extensions:
            found[each.rowtype].append({"core": each.core_id, **each.data})
    return found


def test_the_reader_finds_core_extensions_and_title(reader, real):
    assert reader.descriptor.core.type == f"{DWC}Taxon"
    assert {each.type for each in reader.descriptor.extensions} == {
        f"{GBIF}VernacularName", f"{GBIF}Distribution", f"{GBIF}Description", f"{DWC}MeasurementOrFact",
        f"{DWC}ResourceRelationship", f"{GBIF}Reference", f"{GBIF}SpeciesProfile",
    }  # fmt: skip
    assert reader.metadata.find("dataset/title").text == real.words["title"]


def test_no_row_of_an_extension_lacks_its_taxon(reader):
    assert set(map(len, reader.orphaned_extension_rows().values())) == {0}


def test_the_reader_gives_every_name_with_its_taxon(taxa, real):
    current = {id: each for id, each in taxa.items() if not each[qn("acceptedNameUsageID")]}
    assert current.keys() == real.taxa.keys()
    for id, row in real.taxa.items():
        assert current[id][qn("scientificName")] == f"{row['name']} {row['authorship'] or ''}".strip()
        assert current[id][qn("scientificNameAuthorship")] == (row["authorship"] or "")
        assert (current[id][qn("taxonRank")], current[id][qn("family")]) == (row["rank"], row["family"] or "")
        assert current[id][qn("taxonomicStatus")] == "accepted"
    former = sorted(
        (each[qn("scientificName")], each[qn("acceptedNameUsageID")]) for id, each in taxa.items() if id not in current
    )
    wanted = sorted(
        (f"{each['name']} {each['authorship'] or ''}".strip(), each["taxon_id"])
        for each in real.rows["names"]
        if each["role"] != "current"
    )
    assert former == wanted


def test_the_reader_gives_the_form_of_growth_of_every_taxon(rows, real):
    found = {each["core"]: set(each[f"{GBIF}lifeForm"].split(" or ")) for each in rows[f"{GBIF}SpeciesProfile"]}
    wanted = {}
    for each in real.rows["characters"]:
        if each["character_id"] == "body":
            wanted.setdefault(each["taxon_id"], set()).add(each["state"])
    assert found == wanted


def test_the_reader_gives_every_vernacular(rows, real):
    found = [
        (each["core"], each[qn("vernacularName")], each[f"{DC}language"], each[f"{GBIF}isPreferredName"])
        for each in rows[f"{GBIF}VernacularName"]
    ]
    wanted = [
        (each["taxon_id"], each["name"], each["language"].split("-")[0], str(each["preferred"]).lower())
        for each in real.rows["vernaculars"]
    ]
    assert sorted(found) == sorted(wanted)


def test_the_reader_gives_every_state_and_measurement(rows, real):
    facts = rows[f"{DWC}MeasurementOrFact"]
    found = {tuple(each[f"{DWC}measurement{part}"] for part in ("ID", "Type", "Value", "Unit")) for each in facts}
    states = {
        (f"{r['taxon_id']}:{r['character_id']}:{r['stage']}:{r['state']}", r["character_id"], r["state"], "")
        for r in real.rows["characters"]
    }
    sizes = {
        (
            f"{r['taxon_id']}:{r['character_id']}:{r['stage']}",
            r["character_id"],
            f"{r['low']:g}-{r['high']:g}",
            r["unit"],
        )
        for r in real.rows["measurements"]
    }
    assert len(states) > 10_000
    assert len(sizes) > 500
    assert states <= found
    assert sizes <= found
    verdicts = {
        each["core"]: each[f"{DWC}measurementValue"] for each in facts if each[f"{DWC}measurementType"] == "verdict"
    }
    assert verdicts == {id: row["verdict"] for id, row in real.taxa.items()}


def test_the_reader_gives_every_confusion_and_description(rows, real):
    found = {
        (each["core"], each[f"{DWC}relatedResourceID"]): each[f"{DWC}relationshipRemarks"]
        for each in rows[f"{DWC}ResourceRelationship"]
    }
    listed_pairs = [each for each in real.rows["confusions"] if each["listed"] != "dismissed"]
    for each in listed_pairs:
        remarks = found[each["taxon_id"], each["with_taxon_id"]]
        assert " ".join((each["note"] or "").split()) in remarks
        assert (each["with_taxon_id"], each["taxon_id"]) in found
    told = defaultdict(set)
    for each in rows[f"{GBIF}Description"]:
        told[each["core"]].add(each[f"{DC}type"])
        assert each[f"{DC}description"]
    assert all("edibility" in told[id] for id in real.taxa)


def test_the_reader_gives_every_place(rows, real):
    seen = defaultdict(list)
    for each in real.rows["seasons"]:
        seen[each["taxon_id"], each["region"]].append(each["month"])
    found = {(each["core"], each[qn("locationID")]): each for each in rows[f"{GBIF}Distribution"]}
    assert {(id, region.removeprefix("ISO:")) for id, region in found} >= seen.keys()
    for (_, region), each in found.items():
        assert each[qn("countryCode")] == region.removeprefix("ISO:")[:2]


def test_every_column_is_a_term_of_its_core_or_extension(reader):
    known = {each["term"] for each in listed("terms.csv")}
    allowed = defaultdict(set)
    for each in listed("extensions.csv"):
        allowed[each["row_type"]].add(each["term"])
    for table in (reader.descriptor.core, *reader.descriptor.extensions):
        terms = {each["term"] for each in table.fields}
        assert terms <= allowed[table.type], table.type
        assert {each for each in terms if not each.startswith(GBIF)} <= known


def test_what_an_extension_needs_is_never_empty(reader, rows):
    needed = [each for each in listed("extensions.csv") if each["required"] == "true"]
    used = {each.type for each in reader.descriptor.extensions}
    assert {each["row_type"] for each in needed} >= {f"{GBIF}Description", f"{DWC}ResourceRelationship"}
    for each in needed:
        if each["row_type"] in used:
            assert all(row[each["term"]] for row in rows[each["row_type"]]), each["term"]


def test_words_of_others_are_those_of_their_examples(taxa, rows):
    """What is no example: the two kinds of synonym, which are words of ColDP."""
    examples = {each["term"]: set(re.findall(r"[A-Za-z][\w ]*", each["examples"])) for each in listed("extensions.csv")}
    used = {term: {each[qn(term)] for each in taxa.values()} for term in ("nomenclaturalCode", "taxonomicStatus")}
    assert used["nomenclaturalCode"] <= examples[qn("nomenclaturalCode")]
    synonyms = {"synonym", "ambiguous synonym"}
    assert used["taxonomicStatus"] - synonyms <= examples[qn("taxonomicStatus")]
    places = rows[f"{GBIF}Distribution"]
    assert {each[qn("occurrenceStatus")] for each in places} <= examples[qn("occurrenceStatus")]
    assert {each[qn("locationID")].partition(":")[0] for each in places} <= examples[qn("locationID")]


def faults_of(eml: str) -> list:
    faults: list = []
    validate.tree(metapype_io.from_xml(eml), faults)
    return faults


def test_the_eml_is_valid_by_the_rules_of_others(data):
    assert faults_of(spoiled.members(data)["eml.xml"].decode()) == []


def test_the_eml_with_a_homepage_is_valid_too(form):
    words = WORDS | {"homepage": "https://example.org/fernhollow"}
    eml = spoiled.members(to_dwca(content_of(edition(form), form, words))[PATH])["eml.xml"].decode()
    assert "https://example.org/fernhollow" in eml
    assert faults_of(eml) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("<title>", "<titel>"),
        ("<contact>", "<person>"),
        ('packageId="', 'id="'),
        ("<language>en</language>", ""),
    ],
)
def test_the_rules_of_others_can_refuse(data, old, new):
    eml = spoiled.members(data)["eml.xml"].decode()
    changed = eml.replace(old, new).replace(old.replace("<", "</"), new.replace("<", "</"))
    if not new:  # language behind the abstract, where it may not stand
        changed = eml.replace(old, "").replace("</abstract>", f"</abstract>{old}")
    assert faults_of(changed)
