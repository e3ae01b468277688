"""The Catalogue of Life Data Package: whole, cautious, and held against the tables when it comes back."""

from __future__ import annotations

from collections import Counter

import pytest
import yaml

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.formats.to_coldp import PATH, amiss, to_coldp
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition
from tests.release.formats import spoiled
from tests.release.formats.spoiled import tables_of
from tests.release.formats.test_dwca import needed_words


@pytest.fixture(scope="module")
def data(real):
    return to_coldp(real)[PATH]


@pytest.fixture(scope="module")
def found(data):
    return tables_of(data)


@pytest.fixture(scope="module")
def few(small):
    return to_coldp(small)[PATH]


def of(form, change=lambda _: None):
    return tables_of(to_coldp(content_of(edition(form, change), form, WORDS))[PATH])


def test_every_row_of_the_tables_has_its_row(real, found):
    rows = {name: list(real.rows[name]) for name in real.rows}
    hosts = [each for each in rows["settings"] if each["strength"]]
    listed = [each for each in rows["confusions"] if each["listed"] != "dismissed"]
    pairs = {(each["taxon_id"], each["with_taxon_id"]) for each in listed}
    types = Counter(each["property"] for each in found["TaxonProperty"])
    assert len(found["NameUsage"]) == len(rows["taxa"]) + sum(each["role"] != "current" for each in rows["names"])
    assert len(found["VernacularName"]) == len(rows["vernaculars"])
    assert len(found["Reference"]) == len(rows["sources"])
    assert len(found["SpeciesInteraction"]) == len(hosts) > 100
    assert types["can be taken for"] == len(pairs | {(other, one) for one, other in pairs})
    for property, table in (("need", "needs"), ("caution", "cautions"), ("verdict", "taxa"), ("use", "uses")):
        assert types[property] == len(rows[table])


def test_a_verdict_never_stands_without_what_it_hangs_on(real, found):
    texts = [(each["taxonID"], each["remarks"]) for each in found["TaxonProperty"]
             if each["property"] in {"verdict", "grade"}]  # fmt: skip
    assert {id for id, _ in texts} == set(real.taxa)
    for id, text in texts:
        assert [word for word in needed_words(real, id) if word not in text] == [], id


def test_every_taxon_is_marked_as_unreviewed_and_bears_the_note(found):
    assert found["NameUsage"]
    for each in found["NameUsage"]:
        assert "Unreviewed: Nobody but its author has vouched" in each["remarks"]
        assert SAFETY_NOTE in each["remarks"]


def test_statuses_are_words_of_the_standard_and_lead_to_accepted_ones(found):
    """The words: ColDP, taxonomic status; from memory."""
    accepted = {each["ID"] for each in found["NameUsage"] if each["status"] == "accepted"}
    assert len({each["ID"] for each in found["NameUsage"]}) == len(found["NameUsage"])
    for each in found["NameUsage"]:
        assert each["status"] in {"accepted", "synonym", "ambiguous synonym", "misapplied"}
        assert (each["parentID"] in accepted) == (each["status"] != "accepted")
        assert each["parentID"] or each["status"] == "accepted"


@pytest.mark.parametrize(
    ("kind", "status"), [("former", "synonym"), ("misspelling", "ambiguous synonym"), ("misapplied", "misapplied")]
)
def test_what_is_no_plain_synonym_is_called_none(form, kind, status):
    def change(e):
        e.entries["F9001"]["former_names"] = [{"name": "Fictum vulgare", "kind": kind}]

    (row,) = [each for each in of(form, change)["NameUsage"] if each["parentID"]]
    assert (row["status"], row["parentID"]) == (status, "F9001")


def test_every_reference_leads_to_a_source(found):
    known = {each["ID"] for each in found["Reference"]}
    cited = {each["referenceID"] for table in found.values() for each in table if each.get("referenceID")}
    assert cited
    assert cited <= known


def test_a_host_is_a_host_and_a_season_stands_where_it_was_seen(form):
    found = of(form)
    (host,) = found["SpeciesInteraction"]
    assert (host["taxonID"], host["relatedTaxonScientificName"], host["type"]) == ("F9001", "Fagus", "has host")
    (place,) = found["Distribution"]
    assert (place["area"], place["gazetteer"], place["referenceID"]) == ("GB", "iso", "from-memory")


def test_the_metadata_say_version_licence_and_how_well_it_is_known(real, data):
    told = yaml.safe_load(spoiled.members(data)["metadata.yaml"])
    assert (told["title"], told["version"]) == (real.words["title"], "0.1.0")
    assert told["license"] == "CC-BY-4.0"
    assert told["notes"].startswith(SAFETY_NOTE)
    assert told["reviewStates"] == {"unreviewed": len(real.taxa), "reviewed": 0}


def test_what_was_written_is_found_right(real, data, small, few):
    assert list(amiss({PATH: data}, real)) == []
    assert list(amiss({PATH: few}, small)) == []


TABLES = ("NameUsage", "VernacularName", "Distribution", "SpeciesInteraction", "TaxonProperty", "Reference")


@pytest.mark.parametrize("name", TABLES)
def test_a_changed_cell_a_lost_row_and_a_new_row_are_told(small, few, name):
    file, spoil = f"{name}.csv", lambda change: spoiled.with_rows(few, f"{name}.csv", change)
    lines = spoiled.rows(spoiled.members(few)[file])
    for column in lines[0]:
        (said,) = amiss({PATH: spoil(lambda rows, column=column: spoiled.flipped(rows, column))}, small)
        assert said.startswith(f"{PATH}: {file} row 1, {column}: says ")
    (said,) = amiss({PATH: spoil(lambda rows: rows.pop(1))}, small)
    assert said.startswith(f"{PATH}: {file} has no row `{lines[1][0]}, ")
    (said,) = amiss({PATH: spoil(lambda rows: rows.append(["F9009", *rows[1][1:]]))}, small)
    assert said.startswith(f"{PATH}: {file} has a row that the tables do not give: `F9009, ")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("version: 0.1.0", "version: 0.2.0", "differs in version"),
        ("license: CC-BY-4.0", "license: CC0-1.0", "differs in license"),
        ("never replaces it", "replaces it", "differs in "),
        ("title: ", "doi: 10.1/x\ntitle: ", "differs in doi"),
        ("title: ", "title: &a ", "cannot be read as plain YAML"),
        ("title: ", "title: !!python/object/apply:os.system ", "cannot be read as plain YAML"),
        ("title: ", "# seen\ntitle: ", "says the same"),
        ("title: ", "- ", "metadata.yaml"),
    ],
)
def test_other_metadata_are_told(small, few, old, new, says):
    files = spoiled.members(few)
    text = files["metadata.yaml"].decode()
    assert old in text
    (said,) = amiss({PATH: spoiled.zipped(files | {"metadata.yaml": text.replace(old, new, 1).encode()})}, small)
    assert said.startswith(f"{PATH}: metadata.yaml ")
    assert says in said


@pytest.mark.parametrize("case", spoiled.HOSTILE)
def test_a_hostile_archive_is_told_and_does_no_harm(small, few, case):
    spoil, says = spoiled.HOSTILE[case]
    said = list(amiss({PATH: spoil(few, "NameUsage.csv")}, small))
    assert any(says in each for each in said), said
    assert all(each.startswith(f"{PATH}: ") and each.endswith(".") for each in said)


def test_each_table_is_there_and_in_its_place(small, few):
    assert list(amiss({}, small)) == [f"{PATH} is missing."]
    for name in spoiled.members(few):
        files = spoiled.members(few)
        del files[name]
        assert f"{PATH}: {name} is missing in it." in list(amiss({PATH: spoiled.zipped(files)}, small))
    said = list(amiss({PATH: spoiled.swapped(few, "NameUsage.csv", "Reference.csv")}, small))
    assert [each.split()[1] for each in said] == ["NameUsage.csv", "Reference.csv"]
