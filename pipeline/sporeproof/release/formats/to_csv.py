"""A table as CSV: UTF-8, LF, comma, quoted where needed, an empty field where nothing is known."""

from __future__ import annotations

from typing import Any

import polars as pl

from sporeproof.tables.faults import in_order


def to_csv(frame: pl.DataFrame, schema: dict[str, Any]) -> bytes:
    """Return the bytes of a table, sorted by its primary key; booleans true or false, days as ISO 8601.

    Whole numbers are written without a point, so that a range of 30 to 70 mm does not look finer than it is.
    """
    numbers = pl.selectors.float().cast(pl.String).str.strip_suffix(".0")
    return in_order(frame, schema).with_columns(numbers).write_csv(line_terminator="\n").encode()
