"""Tables of text as CSV: written, read back, and held against what they should say, cell by cell."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

from sporeproof.findings import plain
from sporeproof.tables.faults import shown

Line = tuple[str, ...]

# Rows that are missing or too many are told one by one up to here, and counted beyond.
MOST_ROWS = 3
LONGEST_CELL = 60


@dataclass(slots=True)
class Flat:
    """A table: the name of its file, its columns, and its rows, all of them text."""

    name: str
    columns: Line
    rows: list[Line] = field(default_factory=list)

    def add(self, *cells: Any) -> None:
        """Add a row; raises ``ValueError`` where it has not a cell for each column."""
        if len(cells) != len(self.columns):
            raise ValueError(f"{self.name}: {len(cells)} cells for {len(self.columns)} columns")
        self.rows.append(tuple([text_of(each) for each in cells]))


def text_of(cell: Any) -> str:
    """Return a cell in one line, as readers that split a file at its line ends need it; nothing known is empty.

    >>> text_of(30.0), text_of(None), text_of(True), text_of(" a  b ")
    ('30', '', 'true', 'a b')
    """
    return " ".join((cell if isinstance(cell, str) else shown(cell)).split())


def csv_of(table: Flat) -> bytes:
    """Return the bytes of a table: UTF-8, LF, comma, quoted where needed, the names of the columns first."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.columns)
    writer.writerows(table.rows)
    return out.getvalue().encode()


def other_rows(data: bytes, table: Flat) -> Iterator[str]:
    """Yield what the bytes of a table say otherwise, in sentences; nothing where they say the same."""
    try:
        head, *rows = [tuple(row) for row in csv.reader(io.StringIO(data.decode(), newline=""), strict=True)] or [()]
    except (UnicodeDecodeError, csv.Error) as error:
        yield f"cannot be read as CSV in UTF-8: {plain(str(error))[:200]}"
        return
    if head != table.columns:
        yield f"has the columns {_excerpt(', '.join(head))} instead of {', '.join(table.columns)}"
    elif len(rows) == len(table.rows) and rows != table.rows:
        yield from _other_cells(rows, table)
    elif rows != table.rows:
        yield from _counted("has no row", Counter(table.rows) - Counter(rows))
        yield from _counted("has a row that the tables do not give:", Counter(rows) - Counter(table.rows))
    elif data != csv_of(table):
        yield "says the same, but is not written as a release writes it"


def _other_cells(rows: list[Line], table: Flat) -> Iterator[str]:
    pairs = enumerate(zip(rows, table.rows, strict=True), 1)
    differing = ((number, found, wanted) for number, (found, wanted) in pairs if found != wanted)
    for number, found, wanted in islice(differing, MOST_ROWS):
        if len(found) != len(wanted):
            yield f"row {number} has {len(found)} cells instead of {len(wanted)}"
            continue
        at = next(at for at, cell in enumerate(wanted) if found[at] != cell)
        mine, theirs = _parting(found[at], wanted[at])
        yield f"row {number}, {table.columns[at]}: says {mine} where the tables say {theirs}"


def _parting(one: str, other: str) -> tuple[str, str]:
    """Return two texts from a little before where they part; long ones would look alike otherwise."""
    same = next((at for at, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
    start = max(0, same - LONGEST_CELL // 3)
    return _excerpt(one[start:]), _excerpt(other[start:])


def _counted(what: str, rows: Counter[Line]) -> Iterator[str]:
    for row in islice(rows.elements(), MOST_ROWS):
        yield f"{what} {_excerpt(', '.join(row))}"
    if (more := rows.total() - MOST_ROWS) > 0:
        yield f"{what} (and so {more} more)"


def _excerpt(text: str) -> str:
    seen = plain(text)
    return f"`{seen[:LONGEST_CELL]}{'...' if len(seen) > LONGEST_CELL else ''}`"
