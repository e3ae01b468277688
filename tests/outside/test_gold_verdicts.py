"""Gold verdicts: 25 and more seeded faults in the CSV files of one package, judged by our checks and by frictionless.

Source: frictionless (PyPI, MIT), which shares no code with the checks here. Both read the same files. The rows are
drawn by a seed, each fault in a row of its own, and both say table, row, column and kind. Where they differ the
reason stands beside the fault.
"""

from __future__ import annotations

import csv
import io
import json
import random
from dataclasses import dataclass
from pathlib import Path

import polars as pl
import pytest

from sporeproof.form.load import load_form
from sporeproof.tables.faults import faults
from tests.conftest import ROOT
from tests.release.edition import published

FORM = load_form(ROOT / "schema")
AGREED = ""
SPECIAL = "Table Schema lets a number be NaN or INF; a size that is no size is refused here"
WORDING = "a rule of this house: frictionless knows no cells that are dangerous to look at"
TRAILING = "a dollar of Python's also stands before a last line end; here it stands at the end alone"
BLANK = "frictionless calls a row of empty cells blank and looks no further; here each required cell is named"


@dataclass(frozen=True)
class Seeded:
    """A fault that is put into one cell (or by ``column`` ``*`` into a whole row), and what must be found."""

    table: str
    column: str
    value: str
    kinds: tuple[str, ...]
    why: str = AGREED


FAULTS = [
    Seeded("taxa", "rank", "speices", ("enum",)),
    Seeded("taxa", "verdict", "Edible", ("enum",)),
    Seeded("taxa", "region", "gb", ("pattern",)),
    Seeded("taxa", "evidence", "", ("required",)),
    Seeded("taxa", "reviewed_on", "2026-02-30", ("type",)),
    Seeded("seasons", "month", "13", ("maximum",)),
    Seeded("seasons", "month", "0", ("minimum",)),
    Seeded("seasons", "month", "March", ("type",)),
    Seeded("seasons", "peak", "yes", ("type",)),
    Seeded("seasons", "peak", "TRUE", ("type",)),
    Seeded("catalogue", "position", "1.5", ("type",)),
    Seeded("catalogue", "tolerance", "-0.2", ("minimum",)),
    Seeded("catalogue", "every", "", ("required",)),
    Seeded("catalogue", "part", "hat", ("enum",)),
    Seeded("catalogue", "read_when", "fresh|wet", ("pattern",)),
    Seeded("catalogue", "applies_if_character", "no-such", ("foreign-key",)),
    Seeded("states", "definition", "", ("required",)),
    Seeded("states", "position", "first", ("type",)),
    Seeded("states", "character_id", "no-such", ("foreign-key",)),
    Seeded("onsets", "low_h", "soon", ("type",)),
    Seeded("onsets", "high_h", "-1", ("minimum",)),
    Seeded("onsets", "source_id", "nobody-1900", ("foreign-key",)),
    Seeded("onsets", "phase", "later", ("enum",)),
    Seeded("opinions", "taxon_id", "F9999", ("foreign-key",)),
    Seeded("cautions", "taxon_id", "9001", ("pattern", "foreign-key")),
    Seeded("sources", "year", "MMI", ("type",)),
    Seeded("sources", "doi", "doi:10.1/x", ("pattern",)),
    Seeded("sources", "url", "ftp://fern.example", ("pattern",)),
    Seeded("terms", "*", "again", ("primary-key",)),
    Seeded("implications", "*", "again", ("primary-key",)),
    # where the two differ
    Seeded("onsets", "low_h", "NaN", ("type",), SPECIAL),
    Seeded("onsets", "high_h", "INF", ("type",), SPECIAL),
    Seeded("terms", "title", "=1+1", ("formula-prefix",), WORDING),
    Seeded("terms", "definition", "-2+3", ("formula-prefix",), WORDING),
    Seeded("terms", "definition", "a\u202eb", ("control-character",), WORDING),
    Seeded("terms", "title", "a\tb", ("control-character",), WORDING),
    Seeded("sources", "url", "https://fern.example\n", ("pattern", "control-character"), TRAILING),
    Seeded("states", "*", "", ("required",) * 4 + ("primary-key",), BLANK),
]
Verdict = tuple[str, int, str, str]


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    more_rows = {"from": 1, "to": 12}
    out = tmp_path_factory.mktemp("gold")
    return published(FORM, out, lambda e: e.entries["F9001"]["season"].update(more_rows)).folder


@pytest.fixture(scope="module")
def places(folder) -> dict[Seeded, int]:
    """Put every fault into a row of its own, the rows drawn by a seed, and write the files with sizes left out."""
    draw, used, found = random.Random(25), set(), {}
    for each in FAULTS:
        path = folder / f"csv/{each.table}.csv"
        header, *rows = list(csv.reader(io.StringIO(path.read_bytes().decode("utf-8"))))
        if each.column == "*":
            rows.append(list(rows[-1]) if each.value else [""] * len(header))
            row = len(rows)
        else:
            free = [
                at for at in range(1, len(rows) + 1) if (each.table, at) not in used and fits(each, at, header, rows)
            ]
            row = draw.choice(free)
            rows[row - 1][header.index(each.column)] = each.value
        used |= {(each.table, row), (each.table, row - 1)} if each.column == "*" else {(each.table, row)}
        found[each] = row
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows([header, *rows])
    descriptor = json.loads((folder / "datapackage.json").read_text("utf-8"))
    descriptor["resources"] = [
        {key: value for key, value in each.items() if key not in {"bytes", "hash"}}
        for each in descriptor["resources"]
        if "schema" in each
    ]
    (folder / "datapackage.json").write_text(json.dumps(descriptor), "utf-8")
    return found


def fits(each: Seeded, row: int, header: list[str], rows: list[list[str]]) -> bool:
    """Leave alone the rows that others lead to by the cell, so that each fault stays one."""
    keys = {"states": {"character_id", "state"}, "catalogue": {"character_id"}, "sources": {"source_id"}}
    if each.table == "states" and each.column == "character_id":
        return rows[row - 1][0] not in {"body", "ring", "spore-print"}
    return each.column not in keys.get(each.table, set())


@pytest.fixture(scope="module")
def ours(folder, places) -> set[Verdict]:
    given = {name: pl.read_csv(folder / f"csv/{name}.csv", infer_schema=False) for name in FORM.tables}
    return {(each.table, each.row, each.column, each.kind) for each in faults(given, FORM)}


@pytest.fixture(scope="module")
def theirs(folder, places) -> set[Verdict]:
    from frictionless import Package

    report = Package(str(folder / "datapackage.json")).validate()
    found = set()
    for task in report.tasks:
        for each in task.errors:
            found.add((task.name, each.row_number - 1, _column(task.name, each), _kind(each)))
    return found


def _kind(error) -> str:
    """The kind in our words; of a constraint the note names which."""
    words = {"type-error": "type", "primary-key": "primary-key", "foreign-key": "foreign-key", "blank-row": "blank"}
    return words[error.type] if error.type in words else error.note.split('"')[1]


def _column(table: str, error) -> str:
    if error.type == "primary-key":
        return ", ".join(FORM.tables[table]["primaryKey"])
    if error.type == "foreign-key":
        return ", ".join(error.field_names)
    return "" if error.type == "blank-row" else error.field_name


def verdicts(found: set[Verdict], table: str, row: int) -> list[str]:
    return sorted(kind for there, at, _, kind in found if (there, at) == (table, row))


def columns(found: set[Verdict], table: str, row: int) -> set[tuple[str, str]]:
    return {(column, kind) for there, at, column, kind in found if (there, at) == (table, row)}


def test_there_are_at_least_25_on_which_both_must_agree():
    assert sum(1 for each in FAULTS if not each.why) >= 25


@pytest.mark.parametrize("each", FAULTS, ids=lambda each: f"{each.table}.{each.column}={each.value!r}")
def test_a_seeded_fault_is_judged_alike_or_the_difference_is_explained(each, places, ours, theirs):
    row = places[each]
    assert verdicts(ours, each.table, row) == sorted(each.kinds)
    if each.why:
        assert columns(theirs, each.table, row) != columns(ours, each.table, row), f"no more: {each.why}"
    else:
        assert columns(theirs, each.table, row) == columns(ours, each.table, row)


def test_nothing_else_is_found_by_either(places, ours, theirs):
    seeded = {(each.table, row) for each, row in places.items()}
    assert {found[:2] for found in ours} == seeded
    assert {found[:2] for found in theirs} <= seeded
