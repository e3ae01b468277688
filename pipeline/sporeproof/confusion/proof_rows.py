"""Proofs as rows of the release tables ``proofs`` and ``unexcluded``, and the grades in the rows of ``taxa``."""

from __future__ import annotations

from collections.abc import Iterable

from sporeproof.confusion.proof import Item, Proof, as_handled
from sporeproof.form.load import Form
from sporeproof.tables.build import Row, Tables, joined


def filled(tables: Tables, proofs: Iterable[Proof], form: Form) -> Tables:
    """Return the tables with what some proofs say: both tables of the lists, never one without the other."""
    found = list(proofs)
    lists = {"proofs": proof_rows(found), "unexcluded": unexcluded_rows(found)}
    return {**tables, **lists, "taxa": graded(tables["taxa"], found, form)}


def proof_rows(proofs: Iterable[Proof]) -> list[Row]:
    """Return a row for each item of each list, in the order of handling a find."""
    rows = [
        (proof.entry.key, each.level, position, *_cells(item))
        for proof in proofs
        for each in proof.lists
        for position, item in enumerate(as_handled(each.items), 1)
    ]
    return sorted(rows, key=lambda row: row[:3])


def _cells(item: Item) -> Row:
    return item.character.id, _accepted(item), joined(item.character.read_when), item.rules_out


def _accepted(item: Item) -> str | None:
    """Return what passes; None, which no release may hold, where nothing does."""
    return "..".join(f"{each:.12g}" for each in item.range) if item.range else joined(item.states)


def unexcluded_rows(proofs: Iterable[Proof]) -> list[Row]:
    """Return a row for each suspect that a list does not rule out as far as is required."""
    rows = [
        (proof.entry.key, each.level, short.suspect.key, short.required, short.separators)
        for proof in proofs
        for each in proof.lists
        for short in each.does_not_exclude
    ]
    return sorted(rows)


def graded(taxa: Iterable[Row], proofs: Iterable[Proof], form: Form) -> list[Row]:
    """Return the rows of ``taxa`` with grade and reason; both stay empty where there is no proof."""
    columns = [field["name"] for field in form.tables["taxa"]["fields"]]
    found = {proof.entry.key: {"grade": proof.grade, "grade_reason": proof.reason or None} for proof in proofs}
    nothing: dict[str, str | None] = {"grade": None, "grade_reason": None}
    return [_with(row, columns, found.get(row[columns.index("taxon_id")], nothing)) for row in taxa]


def _with(row: Row, columns: list[str], said: dict[str, str | None]) -> Row:
    return tuple(said.get(column, cell) for column, cell in zip(columns, row, strict=True))
