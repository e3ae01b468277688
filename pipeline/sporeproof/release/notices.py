"""Whatever got stricter, version by version: who relies on an earlier version must look again."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from urllib.parse import quote

import polars as pl

from sporeproof.form.load import Form
from sporeproof.release.changes import Change
from sporeproof.release.strictness import Kind
from sporeproof.tables.faults import frame_of

TABLE = "notices"
NOTICED = (Kind.STRICTER, Kind.WITHDRAWN, Kind.DANGER)
NOTHING = "-"


def noticed(told: Iterable[Change], version: str, earlier: pl.DataFrame | None, form: Form) -> pl.DataFrame:
    """Return the table of notices of a version: those of its own changes after those of the versions before it."""
    schema = form.tables[TABLE]
    columns = [each["name"] for each in schema["fields"]]
    rows = {row["notice_id"]: row for row in (earlier.iter_rows(named=True) if earlier is not None else ())}
    for each in told:
        if each.kind in NOTICED:
            row = _row(each, version)
            rows.setdefault(row["notice_id"], row)
    return frame_of([tuple(row.get(name) for name in columns) for row in rows.values()], schema)


def _row(change: Change, version: str) -> dict[str, Any]:
    same = ("taxon_id", "name", "with_taxon_id", "with_name", "table", "column", "old", "new", "source_ids", "reason")
    found = {name: getattr(change, name) or None for name in same}
    return {
        "notice_id": id_of(version, change.table, change.key, change.column),
        "version": version,
        "kind": change.kind.value,
        "text": change.text,
        **found,
    }


def id_of(version: str, table: str, key: Iterable[str], column: str) -> str:
    """Return the id of a notice: version, table, key and column of what changed, the same in every later version."""
    steps = [version, table, *(quote(cell, safe="") or NOTHING for cell in key), column]
    return "/".join(filter(None, steps))
