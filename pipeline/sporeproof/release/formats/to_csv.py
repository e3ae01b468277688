"""Each table as CSV: UTF-8, LF, comma, quoted where needed, an empty field where nothing is known."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import polars as pl

from sporeproof.release.content import Content, Files
from sporeproof.tables.faults import in_order


def to_csv(content: Content) -> Files:
    """Return one file a table."""
    schemas = content.form.tables
    return {path_of(table): csv_of(frame, schemas[table]) for table, frame in content.frames.items()}


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each table whose bytes are not those that its rows are written as.

    The rows come from these files, so this finds what reads as the same value and is not written alike: a cell quoted
    without need, a number in another form, rows out of their order.
    """
    for path, data in to_csv(content).items():
        if path not in files:
            yield f"{path} is missing."
        elif files[path] != data:
            yield f"{path}, line {_first_other(files[path], data)}: not written as a release writes its rows."


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [path_of(table) for table in content.frames]


def path_of(table: str) -> str:
    """Return the path of a table in a release."""
    return f"csv/{table}.csv"


def csv_of(frame: pl.DataFrame, schema: dict[str, Any]) -> bytes:
    """Return the bytes of a table, sorted by its primary key; booleans true or false, days as ISO 8601.

    Whole numbers are written without a point, so that a range of 30 to 70 mm does not look finer than it is.
    """
    numbers = pl.selectors.float().cast(pl.String).str.strip_suffix(".0")
    return in_order(frame, schema).with_columns(numbers).write_csv(line_terminator="\n").encode()


def _first_other(one: bytes, other: bytes) -> int:
    pairs = zip(one.split(b"\n"), other.split(b"\n"), strict=False)
    return next((number for number, (a, b) in enumerate(pairs, 1) if a != b), 1 + one.count(b"\n"))
