"""The database: every row, views that never part a verdict from its cautions, and what is changed in it is told."""

from __future__ import annotations

import sqlite3
from contextlib import closing

import pytest

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.formats.to_sqlite import amiss, path_of, to_sqlite
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition

PATH = "fernhollow-data.sqlite"


@pytest.fixture(scope="module")
def base(real):
    with closing(sqlite3.connect(":memory:")) as base:
        base.deserialize(to_sqlite(real)[path_of(real)])
        yield base


@pytest.fixture(scope="module")
def files(small):
    return to_sqlite(small)


def changed(files, *statements: str) -> dict[str, bytes]:
    """The database after somebody changed it with SQLite itself, so that it is whole and sound."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as base:
        base.deserialize(files[PATH])
        base.execute("PRAGMA foreign_keys = OFF")
        base.execute("PRAGMA ignore_check_constraints = ON")
        for each in statements:
            base.execute(each)
        return {PATH: base.serialize()}


def test_an_edible_row_bears_all_that_the_verdict_hangs_on(real, base):
    columns = [each[1] for each in base.execute("PRAGMA table_info(edible_with_confusions)")]
    rows = [dict(zip(columns, row, strict=True)) for row in base.execute("SELECT * FROM edible_with_confusions")]
    edible = {id for id, row in real.taxa.items() if real.form.is_edible(row["verdict"])}
    assert {row["taxon_id"] for row in rows} == edible
    for row in rows:
        id = row["taxon_id"]
        assert row["needs"].split("|") == [each["id"] for each in real.of("needs", id)]
        assert (row["cautions"] or "").split("|") == [each["id"] for each in real.of("cautions", id)] or [""]
        accepted = [f"{each['character_id']}={each['state']}" for each in real.of("accept_only", id)]
        assert set(accepted) <= set((row["accept_only"] or "").split("|"))
        assert row["review_state"] == "unreviewed"


def test_no_dangerous_confusion_is_missing_in_the_view(real, base):
    found = set(base.execute("SELECT taxon_id, with_taxon_id FROM edible_with_confusions WHERE with_taxon_id NOT NULL"))
    harmful = {
        id
        for id, row in real.taxa.items()
        if real.form.is_dangerous(row["verdict"]) or real.form.is_unsettled(row["verdict"])
    }
    edible = {id for id, row in real.taxa.items() if real.form.is_edible(row["verdict"])}
    pairs = [
        (each["taxon_id"], each["with_taxon_id"]) for each in real.rows["confusions"] if each["listed"] != "dismissed"
    ]
    wanted = {(a, b) for one, other in pairs for a, b in ((one, other), (other, one)) if a in edible and b in harmful}
    assert len(wanted) > 1000
    assert found == wanted


def test_one_without_a_listed_danger_is_there_and_not_cleared(real, base):
    rows = base.execute("SELECT name, remark FROM edible_with_confusions WHERE with_taxon_id IS NULL").fetchall()
    assert rows
    assert all("does not clear it" in remark for _, remark in rows)


def test_every_name_ever_used_leads_to_its_taxon(form):
    def change(e):
        e.retire("F9005", consider=["F9001", "F9002"])

    content = content_of(edition(form, change), form, WORDS)
    with closing(sqlite3.connect(":memory:")) as base:
        base.deserialize(to_sqlite(content)[PATH])

        def led(word: str) -> set:
            return set(base.execute("SELECT asked_as, taxon_id FROM current_name WHERE asked = ?", [word]))

        assert led("Fictum vulgare") == {("former", "F9001")}
        assert led("Common Fiction") == {("vernacular", "F9001")}
        assert led("F9002") == {("id", "F9002")}
        assert led("F9005") == led("Fictum bonum") == {("retired", "F9001"), ("retired", "F9002")}
        assert led("Fictum nullum") == set()


def test_only_reviewed_taxa_can_be_asked_for_with_all_their_confusions(form):
    def change(e):
        e.entries["F9001"]["review"] = {"state": "reviewed", "by": "MM", "on": "2026-11-26", "of": "0" * 64}

    content = content_of(edition(form, change), form, WORDS)
    with closing(sqlite3.connect(":memory:")) as base:
        base.deserialize(to_sqlite(content)[PATH])
        rows = base.execute("SELECT taxon_id, needs, confusions FROM reviewed_taxa").fetchall()
    assert rows == [("F9001", "cook-thoroughly|discard-stems", "Fictum letale (deadly)")]


def test_no_row_names_an_edible_verdict_of_another_taxon(real, base):
    """Its needs and cautions would not stand there."""
    edible = [id for id in real.form.vocabularies["verdicts"] if real.form.is_edible(id)]
    told = [row[0] for row in base.execute("SELECT confusions FROM taxa_whole WHERE confusions NOT NULL")]
    assert any("(see its own row)" in each for each in told)
    assert not [each for each in told for verdict in edible if f"({verdict})" in each]


def test_the_same_content_gives_the_same_bytes_under_any_version_of_sqlite(small, files):
    """The header keeps a count of changes and the version of the library (sqlite.org/fileformat.html; from memory)."""
    assert to_sqlite(small) == files
    assert files[PATH][92:100] == bytes(8)


def test_the_database_says_whence_it_comes(real, base):
    said = dict(base.execute("SELECT key, value FROM about"))
    assert said["safety"] == SAFETY_NOTE
    assert said["version"] == real.version
    assert real.provenance["content"]["sha256"] in said["content"]


def test_it_holds_itself_to_the_schema(base):
    """Its own constraints refuse what the table schemas refuse."""
    for statement, why in (
        ("UPDATE taxa SET verdict = 'tasty'", "CHECK"),
        ("INSERT INTO needs VALUES ('F9999', 'cook-thoroughly')", "FOREIGN KEY"),
        ("UPDATE taxa SET name = NULL", "NOT NULL"),
        ("UPDATE seasons SET month = 13", "CHECK"),
        ("UPDATE taxa SET reviewed_on = 'soon'", "CHECK"),
        ("INSERT INTO needs SELECT * FROM needs", "UNIQUE"),
    ):
        base.execute("PRAGMA foreign_keys = ON")
        with pytest.raises(sqlite3.IntegrityError, match=why):
            base.execute(statement)
        base.rollback()


def test_the_real_one_holds_every_cell(real):
    files = to_sqlite(real)
    assert list(amiss(files, real)) == []


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("UPDATE taxa SET verdict = 'edible' WHERE taxon_id = 'F9002'", "taxa, row 2, verdict: says edible where"),
        ("DELETE FROM cautions WHERE id = 'deadly-confusion'", "cautions, row 1, id: says raw-upsets"),
        ("INSERT INTO uses VALUES ('F9002', 'ink')", "uses has more than its 1 rows"),
        ("DELETE FROM confusions WHERE taxon_id = 'F9002'", "confusions has fewer than its 3 rows"),
        ("UPDATE seasons SET peak = 1 WHERE month = 1", "seasons, row 1, peak: says 1 where"),
        ("INSERT INTO needs VALUES ('F9009', 'cook-thoroughly')", "a row of needs leads to no row"),
        ("UPDATE about SET value = 'reviewed' WHERE key = 'counts'", "what it says of the version"),
        ("DROP VIEW edible_with_confusions", "the view edible_with_confusions is missing"),
        ("CREATE TABLE more (a)", "the table more does not belong there"),
        ("CREATE TRIGGER t AFTER INSERT ON taxa BEGIN DELETE FROM taxa; END", "the trigger t does not belong there"),
        ("PRAGMA user_version = 2", "is not marked"),
    ],
)
def test_what_was_changed_in_it_is_told(files, small, statement, words):
    said = list(amiss(changed(files, statement), small))
    assert any(words in each for each in said), said


def test_a_view_of_others_is_never_asked(files, small):
    """It would run for ever; its text alone is enough to refuse it."""
    endless = (
        "CREATE VIEW edible_with_confusions AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) "
        "SELECT count(*) FROM n"
    )
    said = list(amiss(changed(files, "DROP VIEW edible_with_confusions", endless), small))
    assert said == [f"{PATH}: the view edible_with_confusions is another one than ours."]


def test_what_cannot_be_read_is_one_sentence(files, small):
    assert list(amiss({}, small)) == [f"{PATH} is missing."]
    whole = files[PATH]
    for data in (b"", b"not a database", whole[:5000], whole[: len(whole) // 2], b"\0" * 4096, whole[:100] * 50):
        said = list(amiss({PATH: data}, small))
        assert said, len(data)
        assert all(each.startswith(PATH) for each in said)


def test_flipped_bytes_never_raise_and_what_they_change_is_told(files, small):
    """Every 2003rd byte of the file; a byte in an unused part of a page changes no fact."""
    whole = files[PATH]
    told = 0
    for place in range(0, len(whole), 2003):
        data = bytearray(whole)
        data[place] ^= 0x40
        told += bool(list(amiss({PATH: bytes(data)}, small)))
    assert told > 50
