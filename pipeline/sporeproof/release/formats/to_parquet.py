"""Each table as Parquet: the same rows in the same order as the CSV, with their types."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import polars as pl

from sporeproof.release.content import Content, Files
from sporeproof.tables.faults import in_order


def to_parquet(content: Content) -> Files:
    """Return one file a table."""
    schemas = content.form.tables
    return {path_of(table): parquet_of(frame, schemas[table]) for table, frame in content.frames.items()}


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each table that does not hold the same rows, types and order."""
    for table, frame in content.frames.items():
        path = path_of(table)
        if path not in files:
            yield f"{path} is missing."
            continue
        try:
            found = pl.read_parquet(io.BytesIO(files[path]))
        except (pl.exceptions.PolarsError, OSError, ValueError) as error:
            yield f"{path} cannot be read as Parquet: {str(error).splitlines()[0]}."
            continue
        yield from _other_rows(path, found, in_order(frame, content.form.tables[table]))


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [path_of(table) for table in content.frames]


def path_of(table: str) -> str:
    """Return the path of a table in a release."""
    return f"parquet/{table}.parquet"


def parquet_of(frame: pl.DataFrame, schema: dict[str, Any]) -> bytes:
    """Return the bytes of a table; nothing in them tells when or where they were written."""
    buffer = io.BytesIO()
    in_order(frame, schema).write_parquet(buffer, compression="zstd", statistics=True)
    return buffer.getvalue()


def _other_rows(path: str, found: pl.DataFrame, wanted: pl.DataFrame) -> Iterator[str]:
    if found.schema != wanted.schema:
        yield f"{path} has other columns or types than its table."
    elif found.height != wanted.height:
        yield f"{path} has {found.height} rows where its table has {wanted.height}."
    elif not found.equals(wanted, null_equal=True):
        row = next(row for row in range(wanted.height) if not found[row].equals(wanted[row], null_equal=True))
        column = next(name for name in wanted.columns if not found[row, [name]].equals(wanted[row, [name]]))
        yield f"{path}, row {row + 1}, {column}: says {found[row, column]} where its table says {wanted[row, column]}."
