"""The sheets of the workbook: what stands in which cell, before anything is written or read.

Rows and columns count from 0. A text that no cell can hold stands whole, in parts, in a sheet of its own, and its cell
says so: it is never cut.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import islice
from typing import Any

import polars as pl

from sporeproof.form.load import Form
from sporeproof.release.content import Content, Rows
from sporeproof.release.formats.xlsx_parts.told import SPECIES, first_said, species

Cells = Sequence[Any]

# A sheet has 1,048,576 rows, a cell 32,767 units of UTF-16 (Microsoft, Excel specifications and limits; from memory).
MOST_ROWS = 1_048_575
LONGEST_TEXT = 32_767
PART = 16_000
# The longest list that stands in the validation itself (the same page); a longer one is read from a sheet.
LONGEST_LIST = 255
WIDEST = 50
FIRST, ALL_SPECIES, TERMS, LONG = "Read first", "species", "terms", "long texts"
HANGS = f" It never stands alone: what it hangs on stands beside it in the sheet `{ALL_SPECIES}`."


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head, what it means, its type in the table schemas, its width in signs.

    ``choices`` are the words that may stand in it, or the range of cells that holds them.
    """

    name: str
    about: str
    width: int
    kind: str = "string"
    choices: list[str] | str = ""
    wrapped: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet: its name, its columns, how many rows it has below its head, a function that yields them.

    ``weight`` is how many bytes its texts have at most.
    """

    name: str
    columns: list[Column]
    height: int
    rows: Callable[[], Iterator[Cells]]
    weight: int


@dataclass(slots=True)
class _Long:
    """Texts that no cell can hold, in parts: number, sheet, column, part, text."""

    rows: list[Cells] = field(default_factory=list)
    count: int = 0

    def fitted(self, sheet: str, columns: list[Column], row: Cells) -> Cells:
        return tuple(
            self._put(sheet, column.name, cell) if isinstance(cell, str) and _length(cell) > LONGEST_TEXT else cell
            for column, cell in zip(columns, row, strict=True)
        )

    def _put(self, sheet: str, column: str, text: str) -> str:
        self.count += 1
        parts = [text[at : at + PART] for at in range(0, len(text), PART)]
        self.rows += [(self.count, sheet, column, number, part) for number, part in enumerate(parts, 1)]
        return f"Longer than a cell can hold. The whole text stands in the sheet `{LONG}`, number {self.count}."


def sheets(content: Content) -> list[Sheet]:
    """Return all sheets in their order: what to read first, the species, a sheet or more for each table."""
    long = _Long()
    whole = [Column(name, about, width, wrapped=True) for name, (about, width) in SPECIES.items()]
    kinds = _held(ALL_SPECIES, whole, list(species(content)), long)
    tables = [sheet for table in content.frames for sheet in _table(table, content, long)]
    long_columns = [Column(*each) for each in LONG_COLUMNS]
    more = [_sheet(LONG, long_columns, long.rows)] if long.rows else []
    about = [(each.name, each.height) for each in (kinds, *tables, *more)]
    first = [Column(FIRST, "", 24, wrapped=True), Column(content.words["title"], "", 100, wrapped=True)]
    return [_sheet(FIRST, first, first_said(content, about)), kinds, *tables, *more]


LONG_COLUMNS = (
    ("number", "The number that the cell names in place of its text.", 10, "integer"),
    ("sheet", "The sheet of that cell.", 20),
    ("column", "The column of that cell.", 20),
    ("part", "The parts joined in this order, nothing between them, are the text.", 10, "integer"),
    ("text", "The part.", WIDEST),
)


def _sheet(name: str, columns: list[Column], rows: Sequence[Cells]) -> Sheet:
    weight = sum(len(cell.encode()) for row in rows for cell in row if isinstance(cell, str))
    return Sheet(name, columns, len(rows), lambda: iter(rows), weight)


def _held(name: str, columns: list[Column], rows: list[Cells], long: _Long) -> Sheet:
    return _sheet(name, columns, [long.fitted(name, columns, row) for row in rows])


def _table(table: str, content: Content, long: _Long) -> Iterator[Sheet]:
    """Yield the sheet of a table, and further ones where it has more rows than a sheet can hold."""
    frame, rows = content.frames[table], content.rows[table]
    if rows.names != [each["name"] for each in content.form.tables[table]["fields"]]:
        raise ValueError(f"{table}: its columns are not those of its schema")
    columns = [_column(each, frame, content) for each in content.form.tables[table]["fields"]]
    if _longest(frame) > LONGEST_TEXT:
        yield _held(table, columns, list(rows.cells()), long)
        return
    weight = int(frame.estimated_size())
    for number, start in enumerate(range(0, max(1, len(rows)), MOST_ROWS), 1):
        height = min(MOST_ROWS, len(rows) - start)
        name = table if number == 1 else f"{table} {number}"
        yield Sheet(name, columns, height, partial(_stretch, rows, start, height), weight)


def _stretch(rows: Rows, start: int, height: int) -> Iterator[Cells]:
    return islice(rows.cells(), start, start + height)


def _longest(frame: pl.DataFrame) -> int:
    """Return the bytes of the longest text, which are never fewer than its units of UTF-16."""
    sizes = frame.select(pl.col(pl.String).str.len_bytes().max().fill_null(0))
    return max(sizes.row(0), default=0) if sizes.height else 0


def _column(field: dict[str, Any], frame: pl.DataFrame, content: Content) -> Column:
    name, enum = field["name"], field.get("constraints", {}).get("enum", [])
    texts = frame[name].cast(pl.String)
    width = min(WIDEST, max(len(name) + 4, int(texts.str.len_chars().max() or 0) + 2))
    hangs = HANGS if enum == list(content.form.vocabularies["verdicts"]) else ""
    return Column(name, field["description"] + hangs, width, field["type"], _choices(enum, content))


def _choices(enum: list[str], content: Content) -> list[str] | str:
    """Return the words that may stand in a column, or where they stand among the terms."""
    if len(",".join(enum)) <= LONGEST_LIST:
        return enum
    vocabulary = _vocabulary(enum, content.form)
    rows = content.rows[TERMS]
    places = [at for at, row in enumerate(rows, 2) if row["vocabulary"] == vocabulary]
    column = "ABCDEFG"[rows.names.index("id")]
    return f"={TERMS}!${column}${places[0]}:${column}${places[-1]}" if places else ""


def _vocabulary(words: list[str], form: Form) -> str:
    return next((name for name, each in form.vocabularies.items() if list(each) == words), "")


def _length(text: str) -> int:
    return len(text) if len(text) * 2 <= LONGEST_TEXT else len(text.encode("utf-16-le")) // 2
