"""The Darwin Core Archive: whole, cautious, the same at any time, and held against the tables when it comes back.

Counts and texts are taken from the tables themselves; the programs of others read it in ``tests/outside``.
"""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from collections import Counter
from io import BytesIO

import pytest

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.formats.to_dwca import PATH, amiss, to_dwca
from tests.conftest import ROOT
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition
from tests.release.formats import spoiled
from tests.release.formats.spoiled import tables_of


@pytest.fixture(scope="module")
def data(real):
    return to_dwca(real)[PATH]


@pytest.fixture(scope="module")
def found(data):
    return tables_of(data)


@pytest.fixture(scope="module")
def few(small):
    return to_dwca(small)[PATH]


def of(form, change=lambda _: None):
    return tables_of(to_dwca(content_of(edition(form, change), form, WORDS))[PATH])


def test_every_row_of_the_tables_has_its_row(real, found):
    rows = {name: list(real.rows[name]) for name in real.rows}
    formers = [each for each in rows["names"] if each["role"] != "current"]
    assert len(found["taxon"]) == len(rows["taxa"]) + len(formers)
    assert len(found["vernacularname"]) == len(rows["vernaculars"])
    types = Counter(each["measurementType"] for each in found["measurementorfact"])
    by_kind = Counter(each["kind"] for each in rows["settings"])
    counts = {name: len(rows[table]) for name, table in [
        ("need", "needs"), ("caution", "cautions"), ("syndrome", "taxa_syndromes"), ("use", "uses"),
        ("protection", "protections"), ("verdict", "taxa"), ("review state", "taxa"), ("evidence", "taxa"),
    ]}  # fmt: skip
    assert counts.items() <= types.items()
    assert by_kind.items() <= types.items()
    named = {*counts, *by_kind, "grade", "severity", "accept only"}
    looks = sum(count for type, count in types.items() if type not in named)
    assert looks == len(rows["characters"]) + len(rows["measurements"])
    assert types["grade"] == sum(each["grade"] is not None for each in rows["taxa"])


def test_every_fact_has_an_id_of_its_own(found):
    for table, column in (
        ("taxon", "taxonID"),
        ("measurementorfact", "measurementID"),
        ("resourcerelationship", "resourceRelationshipID"),
    ):
        ids = [each[column] for each in found[table]]
        assert len(set(ids)) == len(ids)


def needed_words(real, id: str) -> list[str]:
    """Return what must stand wherever the verdict of a taxon does, from the tables alone."""
    titles = {(each["vocabulary"], each["id"]): each["title"] for each in real.rows["terms"]}
    names = {each["taxon_id"]: each["name"] for each in real.rows["taxa"]}
    (taxon,) = [each for each in real.rows["taxa"] if each["taxon_id"] == id]
    words = [titles["verdicts", taxon["verdict"]], titles["review-states", taxon["review_state"]], SAFETY_NOTE]
    words.append(titles["evidence", taxon["evidence"]])
    words += [titles[table, each["id"]] for table in ("needs", "cautions") for each in real.of(table, id)]
    words += [titles["syndromes", each["syndrome_id"]] for each in real.of("taxa_syndromes", id)]
    words += [each["state"] for each in real.of("accept_only", id)]
    words += [f"{each['low']:g} to {each['high']:g} {each['unit']}" for each in real.of("accept_ranges", id)]
    listed = [each for each in real.rows["confusions"] if each["listed"] != "dismissed"]
    words += [names[each["with_taxon_id"]] for each in listed if each["taxon_id"] == id]
    return words + [names[each["taxon_id"]] for each in listed if each["with_taxon_id"] == id]


def test_a_verdict_never_stands_without_what_it_hangs_on(real, found):
    texts = [(each["taxonID"], each["description"]) for each in found["description"] if each["type"] == "edibility"]
    texts += [
        (each["taxonID"], each["measurementRemarks"])
        for each in found["measurementorfact"]
        if each["measurementType"] in {"verdict", "grade"}
    ]
    assert {id for id, _ in texts} == set(real.taxa)
    for id in real.taxa:
        words = needed_words(real, id)
        for text in (text for each, text in texts if each == id):
            assert [word for word in words if word not in text] == [], id


def test_no_edible_verdict_is_said_anywhere_else(real, found):
    edible = [id for id in real.form.vocabularies["verdicts"] if real.form.is_edible(id)]
    said = {each.replace("-", " ") for each in edible}
    assert said == {"edible with conditions", "edible"}
    whole = {("description", "edibility"), ("measurementorfact", "verdict"), ("measurementorfact", "grade")}
    cells = {
        cell
        for table, rows in found.items()
        for row in rows
        if (table, row.get("type") or row.get("measurementType")) not in whole
        for cell in row.values()
    }
    assert not cells & {*edible, *said}
    assert [cell for cell in cells if "edible with conditions" in cell.lower()] == []


def test_every_taxon_is_marked_as_unreviewed_and_bears_the_note(found):
    for each in found["taxon"]:
        assert "Unreviewed: Nobody but its author has vouched" in each["taxonRemarks"]
        assert SAFETY_NOTE in each["taxonRemarks"]


def test_a_reviewed_entry_says_so(form):
    def change(e):
        e.entries["F9005"]["review"] = {"state": "reviewed", "by": "editor", "on": "2026-05-01", "of": "0" * 64}

    rows = {each["taxonID"]: each for each in of(form, change)["taxon"]}
    assert rows["F9005"]["taxonRemarks"].startswith("Reviewed: ")
    assert rows["F9004"]["taxonRemarks"].startswith("Unreviewed: ")


def test_a_confusion_stands_on_both_sides_and_a_dismissed_one_on_none(form, found, real):
    pairs = {(each["resourceID"], each["relatedResourceID"]) for each in of(form)["resourcerelationship"]}
    assert pairs == {("F9001", "F9002"), ("F9002", "F9001")}
    pairs = {(each["resourceID"], each["relatedResourceID"]) for each in found["resourcerelationship"]}
    listed = [each for each in real.rows["confusions"] if each["listed"] != "dismissed"]
    wanted = {(each["taxon_id"], each["with_taxon_id"]) for each in listed}
    assert pairs == wanted | {(other, one) for one, other in wanted}
    assert all(each["taxonID"] == each["resourceID"] for each in found["resourcerelationship"])


def test_nothing_recorded_never_reads_as_harmless(form):
    (text,) = [each["description"] for each in of(form)["description"]
               if (each["taxonID"], each["type"]) == ("F9005", "edibility")]  # fmt: skip
    assert "Needs: none recorded, which does not mean that there are none." in text
    assert "Can be taken for: nothing is recorded, which does not mean that there is nothing." in text
    assert "Grade: nothing is computed, which clears nothing." in text
    (text,) = [each["description"] for each in of(form)["description"]
               if (each["taxonID"], each["type"]) == ("F9004", "edibility")]  # fmt: skip
    assert "Needs:" not in text  # no preparation makes food of a poisonous one


def test_a_protection_is_told_in_words_and_none_is_no_leave(form):
    rows = of(form)
    told = {each["taxonID"]: each["description"] for each in rows["description"] if each["type"] == "conservation"}
    assert told == {
        "F9003": "The Fernhollow Act, section 1, in England: listed as Fictum dubium; forbids: pick, sell "
        "(nobody has read it for this record). What is not recorded here is not allowed by that. Sources: from-memory."
    }
    (fact,) = [each for each in rows["measurementorfact"] if each["measurementType"] == "protection"]
    assert (fact["taxonID"], fact["measurementValue"]) == ("F9003", "The Fernhollow Act")


def names_given(*formers):
    def change(e):
        e.entries["F9001"]["former_names"] = list(formers)

    return change


@pytest.mark.parametrize(
    ("former", "status"),
    [
        ("Fictum vulgare", "synonym"),
        ({"name": "Fictum vulgare", "authorship": "Fern.", "kind": "former"}, "synonym"),
        ({"name": "Fictum comune", "kind": "misspelling"}, "ambiguous synonym"),
        ({"name": "Fictum magnum", "authorship": "Fern.", "kind": "misapplied"}, "misapplied"),
        ({"name": "Fictum letale", "authorship": "auct.", "kind": "former"}, "ambiguous synonym"),
    ],
)
def test_what_is_no_plain_synonym_is_called_none(form, former, status):
    (row,) = [each for each in of(form, names_given(former))["taxon"] if each["acceptedNameUsageID"]]
    assert (row["taxonomicStatus"], row["acceptedNameUsageID"]) == (status, "F9001")


@pytest.mark.parametrize("outcome", ["split", "homonym", "doubtful"])
def test_a_former_name_that_a_checklist_is_torn_over_is_ambiguous(form, outcome):
    def change(e):
        e.rows["names"] = [
            ("Fictum commune", "Fern.", "F9001", "current", "", "", "", ""),
            ("Fictum vulgare", "", "F9001", "former", "A list", "2026-05-01", "live", outcome),
        ]

    (row,) = [each for each in of(form, change)["taxon"] if each["acceptedNameUsageID"]]
    assert row["taxonomicStatus"] == "ambiguous synonym"
    assert f"Name checked against A list on 2026-05-01 (live): {outcome}." in row["taxonRemarks"]


def test_ids_of_names_stay_when_others_come_or_go(form):
    def ids(*formers):
        return {each["scientificName"]: each["taxonID"] for each in of(form, names_given(*formers))["taxon"]}

    few, many = ids("Fictum vulgare"), ids("Fictum antiquum", "Fictum vulgare", "Fictum zonatum")
    assert few.items() <= many.items()
    assert len(set(many.values())) == len(many)


@pytest.mark.parametrize(
    ("leads", "status", "accepted"),
    [
        ({"replaced_by": ["F9001"]}, "synonym", "F9001"),
        ({"consider": ["F9001", "F9002"]}, "ambiguous synonym", "F9002"),  # the deadly one
        ({"consider": ["F9001"]}, "ambiguous synonym", "F9001"),
    ],
)
def test_an_id_that_has_ended_leads_to_its_successor(form, leads, status, accepted):
    (row,) = [each for each in of(form, lambda e: e.retire("F9005", **leads))["taxon"] if each["taxonID"] == "F9005"]
    assert (row["taxonomicStatus"], row["acceptedNameUsageID"]) == (status, accepted)
    assert row["scientificName"] == "Fictum bonum"
    assert "Retired since version 0.2.0: One and the same." in row["taxonRemarks"]
    assert SAFETY_NOTE in row["taxonRemarks"]


def test_a_former_name_of_an_entry_that_was_split_is_no_plain_synonym(form):
    def change(e):
        e.entries["F9001"]["former_names"] = ["Fictum bonum"]
        e.retire("F9005", consider=["F9001", "F9002"])

    rows = [each for each in of(form, change)["taxon"] if each["scientificName"] == "Fictum bonum"]
    assert [each["taxonomicStatus"] for each in rows] == ["ambiguous synonym", "ambiguous synonym"]


@pytest.mark.parametrize(
    ("name", "rank"),
    [
        ("Fictum vulgare", "species"),
        ("Fictum vulgare var. album", "variety"),
        ("Fictum vulgare subsp. album", "subspecies"),
        ("Fictum vulgare f. album", "form"),
        ("Fictum", "genus"),
    ],
)
def test_a_former_name_has_the_rank_that_it_shows(form, name, rank):
    (row,) = [each for each in of(form, names_given(name))["taxon"] if each["acceptedNameUsageID"]]
    assert row["taxonRank"] == rank


def test_a_season_over_the_turn_of_the_year_keeps_its_months(form):
    (row,) = of(form)["distribution"]
    assert (row["locationID"], row["countryCode"], row["occurrenceStatus"]) == ("ISO:GB", "GB", "present")
    assert row["occurrenceRemarks"].startswith(
        "Found in January, February, November, December, as observed in GB. Most in December."
    )


def test_a_region_without_months_says_what_was_observed_there(form):
    def change(e):
        del e.entries["F9001"]["season"]

    rows = of(form, change)
    assert "phenology" not in {each["type"] for each in rows["description"]}
    (row,) = rows["distribution"]
    assert row["occurrenceRemarks"] == (
        "Its hosts were observed in GB; no month is recorded. What is not told here is unknown."
    )


def test_a_region_where_nothing_was_observed_is_no_distribution(form):
    def change(e):
        e.entries["F9005"]["region"] = "IE"

    assert [each["taxonID"] for each in of(form, change)["distribution"]] == ["F9001"]


def test_a_language_with_a_script_says_so(form):
    def change(e):
        e.entries["F9001"]["vernacular"] = {"ja-Latn": ["Kinoko"]}

    (row,) = of(form, change)["vernacularname"]
    assert (row["language"], row["taxonRemarks"]) == ("ja", "BCP 47: ja-Latn.")


def test_what_nothing_is_known_of_has_no_column(found):
    assert "kingdom" not in found["taxon"][0]
    assert "modified" not in found["taxon"][0]
    assert found["speciesprofile"][0].keys() == {"taxonID", "lifeForm", "source"}


def test_the_same_content_gives_the_same_bytes_anywhere(form):
    program = (
        "import hashlib, pathlib; from sporeproof.form.load import load_form; "
        "from sporeproof.release.formats.to_dwca import to_dwca; "
        "from sporeproof.release.formats.to_coldp import to_coldp; "
        "from tests.release.conftest import content_of; from tests.release.edition import WORDS, edition; "
        "form = load_form(pathlib.Path('schema')); content = content_of(edition(form), form, WORDS); "
        "made = [*to_dwca(content).values(), *to_coldp(content).values()]; "
        "print(hashlib.sha256(b''.join(made)).hexdigest())"
    )
    seen = set()
    for seed, zone in (("1", "Asia/Tokyo"), ("2", "America/New_York")):
        more = {"PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": "C"}
        done = subprocess.run(
            [sys.executable, "-c", program], cwd=ROOT, env=os.environ | more, capture_output=True, text=True, check=True
        )
        seen.add(done.stdout)
    assert len(seen) == 1


def test_no_member_tells_when_or_where_it_was_written(few):
    with zipfile.ZipFile(BytesIO(few)) as archive:
        for each in archive.infolist():
            assert (each.date_time, each.create_system, each.external_attr >> 16) == (
                (1980, 1, 1, 0, 0, 0),
                3,
                0o100644,
            )


def test_what_was_written_is_found_right(real, data, small, few):
    assert list(amiss({PATH: data}, real)) == []
    assert list(amiss({PATH: few}, small)) == []


def test_other_packing_of_the_same_facts_is_nothing_amiss(small, few):
    assert list(amiss({PATH: spoiled.zipped(spoiled.members(few), zipfile.ZIP_STORED)}, small)) == []


TABLES = (
    "taxon", "vernacularname", "distribution", "description", "measurementorfact", "resourcerelationship", "reference",
)  # fmt: skip


@pytest.mark.parametrize("name", TABLES)
def test_a_changed_cell_a_lost_row_and_a_new_row_are_told(small, few, name):
    file, spoil = f"{name}.csv", lambda change: spoiled.with_rows(few, f"{name}.csv", change)
    lines = spoiled.rows(spoiled.members(few)[file])
    for column in lines[0]:
        (said,) = amiss({PATH: spoil(lambda rows, column=column: spoiled.flipped(rows, column))}, small)
        assert said.startswith(f"{PATH}: {file} row 1, {column}: says ")
        assert "and harmless" in said
    (said,) = amiss({PATH: spoil(lambda rows: rows.pop(1))}, small)
    assert said.startswith(f"{PATH}: {file} has no row `{lines[1][0]}, ")
    (said,) = amiss({PATH: spoil(lambda rows: rows.append(["F9009", *rows[1][1:]]))}, small)
    assert said.startswith(f"{PATH}: {file} has a row that the tables do not give: `F9009, ")
    (said,) = amiss({PATH: spoil(lambda rows: rows[0].reverse())}, small)
    assert " has the columns " in said


def test_rows_in_another_order_are_told(small, few):
    said = list(amiss({PATH: spoiled.with_rows(few, "taxon.csv", lambda rows: rows.append(rows.pop(1)))}, small))
    assert said[0].startswith(f"{PATH}: taxon.csv row 1, taxonID: says ")


def test_each_table_is_there_and_in_its_place(small, few):
    for name in spoiled.members(few):
        files = spoiled.members(few)
        del files[name]
        assert f"{PATH}: {name} is missing in it." in list(amiss({PATH: spoiled.zipped(files)}, small))
    said = list(amiss({PATH: spoiled.swapped(few, "taxon.csv", "reference.csv")}, small))
    assert [each.split()[1] for each in said] == ["taxon.csv", "reference.csv"]


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        ("meta.xml", "dwc/terms/acceptedNameUsageID", "dwc/terms/parentNameUsageID", "acceptedNameUsageID"),
        ("meta.xml", "<location>taxon.csv", "<location>reference.csv", "location"),
        ("meta.xml", '<field index="8"', '<field default="harmless" index="8"', "harmless"),
        ("eml.xml", "CC-BY-4.0", "CC0-1.0", "CC0-1.0"),
        ("eml.xml", "never replaces it", "replaces it", "additionalInfo|para"),
        ("eml.xml", "</dataset>", "<purpose><para>Food</para></purpose></dataset>", "dataset"),
        ("eml.xml", "<dataset>", "<!-- hidden --><dataset>", "not written as a release writes it"),
        ("eml.xml", "<eml:eml", '<!DOCTYPE x [<!ENTITY y SYSTEM "file:///etc/passwd">]><eml:eml', "DOCTYPE"),
        ("eml.xml", "</eml:eml>", "", "cannot be read as XML"),
    ],
)
def test_another_description_of_the_archive_is_told(small, few, name, old, new, says):
    files = spoiled.members(few)
    text = files[name].decode()
    assert old in text
    said = list(amiss({PATH: spoiled.zipped(files | {name: text.replace(old, new, 1).encode()})}, small))
    assert len(said) == 1
    assert said[0].startswith(f"{PATH}: {name} ")
    assert any(each in said[0] for each in says.split("|"))


@pytest.mark.parametrize("content", [b"\xff\xfe", b'taxonID,"', b"", b"a" * 200_000 + b"\n", b"taxonID\0"])
def test_a_table_that_is_none_is_told(small, few, content):
    said = list(amiss({PATH: spoiled.zipped(spoiled.members(few) | {"taxon.csv": content})}, small))
    assert len(said) == 1
    assert said[0].startswith(f"{PATH}: taxon.csv ")


@pytest.mark.parametrize("case", spoiled.HOSTILE)
def test_a_hostile_archive_is_told_and_does_no_harm(small, few, case):
    spoil, says = spoiled.HOSTILE[case]
    said = list(amiss({PATH: spoil(few, "taxon.csv")}, small))
    assert any(says in each for each in said), said
    assert all(each.startswith(f"{PATH}: ") and each.endswith(".") for each in said)


def test_no_archive_at_all_is_told(small):
    assert list(amiss({}, small)) == [f"{PATH} is missing."]


def test_no_more_than_twenty_things_are_told(small, few):
    files = spoiled.members(few) | {f"{number}.csv": b"x" for number in range(50)}
    assert len(list(amiss({PATH: spoiled.zipped(files)}, small))) == 20
