"""The tables as data frames, and all that is wrong with them by their schemas: cell by cell, key by key.

Empty cells, vocabularies, patterns and limits are judged by pandera; keys, which lead from row to row and
from table to table, by joins. It imports polars: import it inside the function that needs it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import polars as pl
from pandera.errors import SchemaErrors

from sporeproof.form.frames import dtype_of, schema_of
from sporeproof.form.load import Form
from sporeproof.tables.build import Tables

Frames = dict[str, pl.DataFrame]

# What pandera calls the two faults that no check of ours names.
PANDERA_WORDS = {
    "not_nullable": "required",
    "column_in_dataframe": "missing-column",
    "column_in_schema": "unknown-column",
}
WHOLE_NUMBER = r"^[+-]?\d+$"
ISO_DAY = r"^\d{4}-\d{2}-\d{2}$"


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """What is wrong in one cell or key. ``row`` counts data rows from 1, and is 0 for a table as a whole."""

    table: str
    row: int
    column: str
    kind: str
    value: str = ""


def frames(tables: Tables, form: Form) -> Frames:
    """Return each table as a data frame, typed by its schema and sorted by its key, empty cells as null.

    A column with a value that its type cannot hold stays text, so that :func:`faults` can point to the value.
    """
    return {name: frame_of(rows, form.tables[name]) for name, rows in tables.items()}


def frame_of(rows: Sequence[Sequence[Any]], schema: dict[str, Any]) -> pl.DataFrame:
    """Return the rows of one table as a data frame."""
    columns = zip(*rows, strict=True) if rows else ([] for _ in schema["fields"])
    series = [_series(field, cells) for field, cells in zip(schema["fields"], columns, strict=True)]
    return in_order(pl.DataFrame(series), schema)


def in_order(frame: pl.DataFrame, schema: dict[str, Any]) -> pl.DataFrame:
    """Return the rows sorted by primary key, what is empty first, texts by code point; ties by the rest."""
    keys = [each for each in schema["primaryKey"] if each in frame.columns]
    return frame.sort([*keys, *(each for each in frame.columns if each not in keys)], nulls_last=False)


def _series(field: dict[str, Any], cells: Sequence[Any]) -> pl.Series:
    given = [None if cell == "" else cell for cell in cells]
    if field["type"] == "string" or not any(isinstance(cell, str) for cell in given):
        try:
            return pl.Series(field["name"], given, dtype=dtype_of(field), strict=True)
        except (TypeError, ValueError, OverflowError, pl.exceptions.PolarsError):
            pass  # some cell is of another type: as text it can be pointed to
    texts = pl.Series(field["name"], [None if cell is None else _text(cell) for cell in given], dtype=pl.String)
    read = _read(texts, field["type"])
    return texts if _lost(texts, read).any() else read.alias(field["name"])


def _lost(texts: pl.Series, read: pl.Series) -> pl.Series:
    """Tell for each cell whether it has a text that its type cannot hold."""
    return texts.is_not_null() & read.is_null()


def _text(cell: Any) -> str:
    return str(cell).lower() if isinstance(cell, bool) else str(cell)


def faults(given: Frames, form: Form) -> list[Fault]:
    """Return all that is wrong with some frames, in the order of table, row and column."""
    found: list[Fault] = []
    sound: Frames = {}
    for name, frame in given.items():
        sound[name], misfits = typed(frame, form.tables[name], name)
        found += misfits
        found += _cells(sound[name], form.tables[name], name, misfits)
    for name, frame in sound.items():
        found += _key(frame, form.tables[name], name)
        found += _links(sound, form.tables[name], name)
    return sorted(found)


def typed(frame: pl.DataFrame, schema: dict[str, Any], table: str) -> tuple[pl.DataFrame, list[Fault]]:
    """Return the frame with each column in its type, and the values that do not fit (null there)."""
    found: list[Fault] = []
    for field in schema["fields"]:
        name, kind = field["name"], field["type"]
        if name not in frame.columns:
            continue
        texts = frame[name].replace("", None) if frame[name].dtype == pl.String else frame[name]
        if texts.dtype == dtype_of(field):
            column = texts.set(texts.is_nan() | texts.is_infinite(), None) if kind == "number" else texts
        else:
            texts = texts.cast(pl.String)
            column = _read(texts, kind)
        found += [Fault(table, row + 1, name, "type", str(texts[row])) for row in _lost(texts, column).arg_true()]
        frame = frame.with_columns(column.alias(name))
    return frame, found


def _read(texts: pl.Series, kind: str) -> pl.Series:
    """Return the values that texts stand for by Table Schema's own forms; null where they stand for none."""
    if kind == "integer":
        return texts.set(~texts.str.contains(WHOLE_NUMBER), None).cast(pl.Int64, strict=False)
    if kind == "number":
        numbers = texts.cast(pl.Float64, strict=False)
        return numbers.set(~numbers.is_finite(), None)
    if kind == "boolean":
        return texts.replace_strict(["true", "false"], [True, False], default=None, return_dtype=pl.Boolean)
    if kind == "date":
        return texts.set(~texts.str.contains(ISO_DAY), None).str.to_date("%Y-%m-%d", strict=False)
    return texts


def _cells(frame: pl.DataFrame, schema: dict[str, Any], table: str, misfits: list[Fault]) -> Iterator[Fault]:
    """Yield what pandera finds; a cell that misses its type is not called empty as well."""
    known = {(each.row, each.column) for each in misfits}
    try:
        schema_of(schema).validate(frame, lazy=True)
    except SchemaErrors as errors:
        for value, _, column, check, _, index in errors.failure_cases.rows():
            kind = PANDERA_WORDS.get(check, check)
            row = 0 if index is None else index + 1
            if kind != "required" or (row, column) not in known:
                whole = index is None
                yield Fault(table, row, value if whole else column, kind, "" if whole else value or "")


def _key(frame: pl.DataFrame, schema: dict[str, Any], table: str) -> Iterator[Fault]:
    """Yield each row whose primary key stands in a row before it, or is empty altogether."""
    keys = schema["primaryKey"]
    if not set(keys) <= set(frame.columns):
        return
    again = ~pl.struct(keys).is_first_distinct() | pl.all_horizontal(pl.col(keys).is_null())
    for row, *cells in frame.with_row_index("", 1).filter(again).select("", *keys).rows():
        yield Fault(table, row, ", ".join(keys), "primary-key", _joined(cells))


def _links(given: Frames, schema: dict[str, Any], table: str) -> Iterator[Fault]:
    """Yield each row whose foreign key leads to no row; one that is empty altogether leads nowhere."""
    for link in schema.get("foreignKeys", []):
        fields, (target, there) = link["fields"], _target(link, table)
        if target not in given:
            yield Fault(table, 0, ", ".join(fields), "missing-table", target)
        elif set(fields) <= set(given[table].columns) and set(there) <= set(given[target].columns):
            for row, *cells in _dangling(given[table], fields, given[target].select(there).unique()).rows():
                yield Fault(table, row, ", ".join(fields), "foreign-key", _joined(cells))


def _target(link: dict[str, Any], table: str) -> tuple[str, list[str]]:
    return link["reference"].get("resource") or table, link["reference"]["fields"]


def _dangling(frame: pl.DataFrame, fields: list[str], there: pl.DataFrame) -> pl.DataFrame:
    linked = frame.select(fields).with_row_index("", 1).filter(~pl.all_horizontal(pl.col(fields).is_null()))
    return linked.join(there, left_on=fields, right_on=there.columns, how="anti", nulls_equal=True)


def _joined(cells: Sequence[Any]) -> str:
    return ", ".join(shown(cell) for cell in cells)


def shown(cell: Any) -> str:
    """Return a cell as it stands in a CSV file; an empty one is an empty text."""
    if cell is None:
        return ""
    if isinstance(cell, float) and math.isfinite(cell) and cell.is_integer():
        return str(int(cell))
    return cell.isoformat() if isinstance(cell, date) else _text(cell)
