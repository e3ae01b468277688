"""What the tables of a release say otherwise than the same tables built and computed anew from its own entries."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from sporeproof.form.load import Form
from sporeproof.tables.build import Row as Cells
from sporeproof.tables.build import Tables
from sporeproof.tables.rebuilt import Row, Rows, named, typed

# Of one table, so many differences are told; the others are counted.
MOST = 20
# The tables that the schema fills, whatever the entries say.
OF_SCHEMA = ("catalogue", "states", "implications", "terms", "onsets")
OTHER_SCHEMA = (
    "This table is the schema's own: if the package was made with another schema, verify it with that one, by naming "
    "its checklist with `--dataset`."
)
# What checklists answered; no table holds the answers themselves.
ANSWERED = frozenset({"checked_against", "checked_on", "obtained", "outcome"})
GRADE, REASON = "grade", "grade_reason"
# The last of its four digits may differ from machine to machine.
SIMILARITY, NEAR = "similarity", 1.5e-4


def contradictions(given: Rows, made: Tables, form: Form) -> Iterator[str]:
    """Yield a sentence for each row and cell of some given tables that differs from the same tables made anew.

    A grade may be lower than the one made: an entry can hold it down, and no table says so. One that is better is a
    contradiction. The words of its reason may stand in another order, since an entry orders its needs. A table that
    tells of the versions before is left out: it follows from those.
    """
    names = {row["taxon_id"]: row["name"] for row in typed("taxa", given, form)}
    for table, rows in made.items():
        if form.tables[table].get("change", {}).get("history"):
            continue
        if table not in given:
            yield f"{table}: the table is missing."
            continue
        found = list(_of_table(table, given, rows, names, form))
        if found and table in OF_SCHEMA:
            found[0] = f"{found[0]} {OTHER_SCHEMA}"
        yield from (f"{table}: {each}" for each in found[:MOST])
        if len(found) > MOST:
            yield f"{table}: {len(found) - MOST} more differences of this kind."


def held_down(given: Rows, made: Tables, form: Form) -> list[str]:
    """Return the names of the taxa whose given grade is lower than the one made."""
    before = {row["taxon_id"]: row for row in typed("taxa", given, form)}
    pairs = ((before[row["taxon_id"]], row) for row in named(made, form)["taxa"] if row["taxon_id"] in before)
    return [row["name"] for old, row in pairs if _is_lower(old, row, form)]


def _of_table(table: str, given: Rows, rows: list[Cells], names: dict[Any, Any], form: Form) -> Iterator[str]:
    columns = [field["name"] for field in form.tables[table]["fields"]]
    keys = [columns.index(column) for column in form.tables[table]["primaryKey"]]
    kept = [at for at, column in enumerate(columns) if column not in ANSWERED]
    before = Counter(_cells(row.values(), kept) for row in typed(table, given, form))
    now = Counter(_cells(row, kept) for row in rows)
    extra, lacking = (
        {_key(cells, keys): cells for cells in sorted(few, key=str)} for few in (before - now, now - before)
    )
    for key in sorted(extra.keys() | lacking.keys(), key=str):
        told = ", ".join(f"{cell} ({names[cell]})" if cell in names else _shown(cell) for cell in key)
        if key not in extra:
            yield f"{told} is missing, though it follows from what is recorded."
        elif key not in lacking:
            yield f"{told} stands there, though nothing that is recorded comes to it."
        else:
            one, other = (dict(zip((columns[at] for at in kept), side[key], strict=True)) for side in (extra, lacking))
            for column in _differing(one, other, form):
                says, comes = _shown(one[column]), _shown(other[column])
                yield f"{told}: {column} is {says}; what is recorded comes to {comes}."


def _cells(row: Iterable[Any], kept: list[int]) -> Cells:
    cells = list(row)
    return tuple(None if cells[at] == "" else cells[at] for at in kept)


def _key(cells: Cells, keys: list[int]) -> Cells:
    return tuple(cells[at] for at in keys)


def _shown(cell: Any) -> str:
    return "nothing" if cell is None else f"{cell}"


def _differing(given: Row, made: Row, form: Form) -> Iterator[str]:
    """Yield the columns in which a row contradicts the one made."""
    for column, one in given.items():
        other = made[column]
        if one == other or (column in {GRADE, REASON} and _is_lower(given, made, form)):
            continue
        if column == REASON and _words(one) == _words(other):
            continue
        if column == SIMILARITY and one is not None and other is not None and abs(one - other) < NEAR:
            continue
        yield column


def _is_lower(given: Row, made: Row, form: Form) -> bool:
    """Tell whether the grade of a taxon is more cautious than the one made; none, or an unknown one, is not."""
    grades = list(form.vocabularies["grades"])
    grade, other = given[GRADE], made[GRADE]
    return grade in grades and other in grades and grades.index(grade) < grades.index(other)


def _words(reason: str | None) -> list[str]:
    return sorted(word.strip(".;:") for word in (reason or "").split())
