"""Data frames by the table schemas: the type of each column, and a pandera schema of each table.

Both are built from ``schema/tables/*.json`` and the vocabularies when they are needed; nothing is said twice.
This module imports polars and pandera, so import it inside the function that needs it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandera.polars as pa
import polars as pl

from sporeproof.form.cells import FORMULA, HARMLESS

DTYPES: dict[str, pl.DataType] = {
    "string": pl.String(),
    "integer": pl.Int64(),
    "number": pl.Float64(),
    "boolean": pl.Boolean(),
    "date": pl.Date(),
}

# A cell is one line of visible signs: no controls, no format signs (which can turn the direction of what
# follows), no separators of lines and paragraphs. The two joiners stay; some scripts are spelt with them.
UNSEEN = r"[\p{Cc}\p{Zl}\p{Zp}]|[\p{Cf}--[\x{200C}\x{200D}]]"


def dtype_of(field: dict[str, Any]) -> pl.DataType:
    """Return the column type of a field of a table schema."""
    return DTYPES[field["type"]]


def dtypes_of(schema: dict[str, Any]) -> dict[str, pl.DataType]:
    """Return the column types of a table, in the order of its fields."""
    return {each["name"]: dtype_of(each) for each in schema["fields"]}


def schema_of(schema: dict[str, Any]) -> pa.DataFrameSchema:
    """Return the pandera schema of a table; each check fails with the name of the constraint as its code.

    Keys are left to :mod:`sporeproof.tables.faults`: pandera reports the first of several unique groups only.
    """
    return pa.DataFrameSchema({each["name"]: _column(each) for each in schema["fields"]}, strict=True)


def _column(field: dict[str, Any]) -> pa.Column:
    constraints = dict(field.get("constraints", {}))
    required = constraints.pop("required", False)
    checks = [CHECKS[kind](limit) for kind, limit in constraints.items()]
    if field["type"] == "string" and "enum" not in constraints:
        checks += [_no_formula(), _all_seen()]
    return pa.Column(dtype_of(field), checks, nullable=not required)


CHECKS: dict[str, Callable[[Any], pa.Check]] = {
    "enum": lambda words: pa.Check.isin(words, error="enum"),
    "pattern": lambda pattern: pa.Check.str_matches(pattern, error="pattern"),
    "minimum": lambda least: pa.Check.ge(least, error="minimum"),
    "maximum": lambda most: pa.Check.le(most, error="maximum"),
}


def _no_formula() -> pa.Check:
    return pa.Check(
        lambda data: data.lazyframe.select(
            ~pl.col(data.key).str.contains(FORMULA) | pl.col(data.key).str.contains(HARMLESS)
        ),
        error="formula-prefix",
    )


def _all_seen() -> pa.Check:
    return pa.Check(
        lambda data: data.lazyframe.select(~pl.col(data.key).str.contains(UNSEEN)),
        error="control-character",
    )
