"""A table as Parquet: the same rows in the same order as the CSV, with their types."""

from __future__ import annotations

import io
from typing import Any

import polars as pl

from sporeproof.tables.faults import in_order


def to_parquet(frame: pl.DataFrame, schema: dict[str, Any]) -> bytes:
    """Return the bytes of a table; nothing in them tells when or where they were written."""
    buffer = io.BytesIO()
    in_order(frame, schema).write_parquet(buffer, compression="zstd", statistics=True)
    return buffer.getvalue()
