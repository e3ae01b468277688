"""Tables by their schemas: what is wrong, in which row and column, and nothing else."""

from __future__ import annotations

import csv
import io

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.form.frames import CHECKS, DTYPES, dtypes_of
from sporeproof.form.load import load_form
from sporeproof.release.formats.to_csv import csv_of
from sporeproof.tables.faults import Fault, faults, frame_of, frames
from tests.conftest import ROOT
from tests.release.edition import edition

FORM = load_form(ROOT / "schema")


@pytest.fixture(scope="module")
def sound() -> dict[str, pl.DataFrame]:
    return frames(edition(FORM), FORM)


def put(frame: pl.DataFrame, row: int, column: str, value: object) -> pl.DataFrame:
    """Return the frame with another value in one cell; a value of another type makes the column text."""
    cells = frame[column].to_list()
    cells[row - 1] = value
    if isinstance(value, str):
        texts = frame[column].cast(pl.String).to_list()
        cells = [value if at == row else text for at, text in enumerate(texts, 1)]
    dtype = pl.String if isinstance(value, str) else frame[column].dtype
    return frame.with_columns(pl.Series(column, cells, dtype=dtype))


def kinds(found: list[Fault]) -> list[tuple[str, int, str, str]]:
    return [(each.table, each.row, each.column, each.kind) for each in found]


def test_a_sound_edition_has_no_faults(sound):
    assert faults(sound, FORM) == []


def test_every_constraint_and_type_of_the_schemas_is_judged():
    fields = [each for schema in FORM.tables.values() for each in schema["fields"]]
    used = {kind for each in fields for kind in each.get("constraints", {})}
    assert used - {"required"} <= CHECKS.keys()
    assert {each["type"] for each in fields} <= DTYPES.keys()


@pytest.mark.parametrize(
    ("table", "row", "column", "value", "kind"),
    [
        ("taxa", 2, "rank", None, "required"),
        ("taxa", 2, "rank", "speices", "enum"),
        ("taxa", 1, "region", "gb", "pattern"),
        ("taxa", 1, "reviewed_on", "2026-13-01", "type"),
        ("taxa", 1, "reviewed_on", "2026-1-2", "type"),
        ("seasons", 3, "month", 13, "maximum"),
        ("seasons", 3, "month", 0, "minimum"),
        ("seasons", 3, "month", "March", "type"),
        ("seasons", 3, "peak", "yes", "type"),
        ("measurements", 1, "low", -1.0, "minimum"),
        ("measurements", 1, "low", float("nan"), "type"),
        ("measurements", 1, "high", float("inf"), "type"),
        ("protections", 1, "acts", "pick|burn", "pattern"),
        ("opinions", 1, "source_id", "+fern", "formula-prefix"),
        ("sources", 1, "url", "ftp://a.b", "pattern"),
        ("confusions", 1, "note", '=HYPERLINK("x")', "formula-prefix"),
        ("confusions", 1, "note", " \t@SUM(1)", "control-character"),
        ("confusions", 1, "note", "a\nb", "control-character"),
        ("confusions", 1, "note", "a\u202eb", "control-character"),
        ("confusions", 1, "note", "a\u2028b", "control-character"),
        ("confusions", 1, "note", "a\x9bb", "control-character"),
        ("confusions", 1, "note", "\uff1d1+1", "formula-prefix"),
        ("confusions", 1, "note", "-2+3", "formula-prefix"),
    ],
)
def test_one_cell_is_found(sound, table, row, column, value, kind):
    found = faults({**sound, table: put(sound[table], row, column, value)}, FORM)
    assert (table, row, column, kind) in kinds(found)
    assert {each.table for each in found} == {table}
    assert {each.row for each in found} == {row}


@pytest.mark.parametrize("note", ["-", "-3", "-0.5", "-0,5", "a = b", "Zweig\u200cname", "6 - 9 cm"])
def test_what_only_looks_like_a_formula_is_let_through(sound, note):
    assert faults({**sound, "confusions": put(sound["confusions"], 1, "note", note)}, FORM) == []


def test_a_cell_of_the_wrong_type_is_not_called_empty_as_well(sound):
    given = put(sound["seasons"], 2, "month", "March")
    assert kinds(faults({**sound, "seasons": given}, FORM)) == [("seasons", 2, "month", "type")]


def test_rows_built_with_a_value_of_the_wrong_type_keep_it_for_the_message():
    schema = FORM.tables["seasons"]
    frame = frame_of([("F9001", "GB", "March", True, None), ("F9001", "GB", 4, False, "")], schema)
    found = faults({"seasons": frame}, FORM)
    assert [(each.kind, each.value) for each in found if each.column == "month"] == [("type", "March")]


def test_a_key_that_comes_again_is_found_each_time(sound):
    twice = pl.concat([sound["needs"], sound["needs"], sound["needs"][:1]])
    height = sound["needs"].height
    found = faults({**sound, "needs": twice}, FORM)
    assert [each.row for each in found] == list(range(height + 1, 2 * height + 2))
    assert {(each.kind, each.column) for each in found} == {("primary-key", "taxon_id, id")}


def test_an_empty_part_of_a_key_counts_as_a_value(sound):
    """`names` may lack the authors: two rows that both lack them are one key, one with and one without are two."""
    row = sound["names"].filter(pl.col("authorship").is_null())[:1]
    authored = row.with_columns(authorship=pl.lit("Fern."))
    assert faults({**sound, "names": pl.concat([sound["names"], authored])}, FORM) == []
    found = faults({**sound, "names": pl.concat([sound["names"], row])}, FORM)
    assert kinds(found) == [("names", sound["names"].height + 1, "name, authorship", "primary-key")]


def test_foreign_keys_are_followed_also_composite_ones_and_into_the_same_table(sound):
    given = {
        **sound,
        "cautions": put(sound["cautions"], 1, "taxon_id", "F9099"),
        "characters": put(sound["characters"], 1, "state", "no-such-state"),
        "catalogue": put(sound["catalogue"], 5, "applies_if_character", "no-such-character"),
    }
    assert kinds(faults(given, FORM)) == [
        ("catalogue", 5, "applies_if_character", "foreign-key"),
        ("cautions", 1, "taxon_id", "foreign-key"),
        ("characters", 1, "character_id, state", "foreign-key"),
    ]


def test_missing_and_strange_columns_and_tables_are_found(sound):
    given = {**sound, "uses": sound["uses"].rename({"id": "use"})}
    del given["sources"]
    assert kinds(faults(given, FORM)) == [
        ("onsets", 0, "source_id", "missing-table"),
        ("opinions", 0, "source_id", "missing-table"),
        ("protections", 0, "source_id", "missing-table"),
        ("uses", 0, "id", "missing-column"),
        ("uses", 0, "use", "unknown-column"),
    ]


def test_all_faults_of_all_columns_come_at_once(sound):
    given = put(put(put(sound["taxa"], 1, "rank", "x"), 1, "verdict", "y"), 2, "evidence", None)
    assert len(faults({**sound, "taxa": given}, FORM)) == 3


def test_frames_are_typed_and_sorted_by_key_however_the_rows_come(sound):
    tables = edition(FORM)
    other = frames({name: rows[::-1] for name, rows in tables.items()}, FORM)
    for name, frame in sound.items():
        assert dict(frame.schema) == dtypes_of(FORM.tables[name])
        assert frame.equals(other[name]), name


SIGNS = st.text(
    st.sampled_from("=+-@\t\r\n ,\"'|1a.\uff1d\u202e\u00a0\u2028") | st.characters(exclude_categories=["Cs"])
)


@settings(max_examples=300, deadline=None)
@given(SIGNS)
def test_no_text_reaches_a_spreadsheet_as_a_formula_or_with_unseen_signs(text):
    """A property over any text: it is refused, or its cell is harmless by a reading of its own."""
    schema = FORM.tables["vernaculars"]
    frame = frame_of([("F9001", "en", text, True)], schema)
    refused = [each for each in faults({"vernaculars": frame}, FORM) if each.column == "name"]
    if not refused:
        ((_, _, cell, _),) = list(csv.reader(io.StringIO(csv_of(frame, schema).decode())))[1:]
        assert cell == text
        assert cell.isprintable() or "\u00a0" in cell or not set(cell) & set("\t\r\n\x00\u202e\u2028")
        first = cell.strip()[:1]
        assert first not in "=+@\uff1d" if first else not cell.strip()
        assert first != "-" or cell == "-" or cell[1:].replace(".", "").replace(",", "").isdigit()
