"""Which rows of a table came, went or changed between two editions. It compares and does not judge."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import polars as pl

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Difference:
    """One row before and after; None where there is none."""

    key: tuple[Any, ...]
    old: Row | None
    new: Row | None


def differences(old: pl.DataFrame, new: pl.DataFrame, keys: list[str]) -> list[Difference]:
    """Return the rows that differ in the columns that both frames have in one type, by key.

    A key may stand in several old rows (ids that were merged); each of them is compared.
    """
    shared = [each for each in new.columns if each in old.columns and old[each].dtype == new[each].dtype]
    if not set(keys) <= set(shared):
        return []
    before, after = old.select(shared), new.select(shared)
    left = before.join(after, on=shared, how="anti", nulls_equal=True)
    come = after.join(before, on=shared, how="anti", nulls_equal=True)
    there = _by_key(after.join(left, on=keys, how="semi", nulls_equal=True), keys)
    fresh = come.join(before, on=keys, how="anti", nulls_equal=True)
    found = [Difference(_key(row, keys), row, there.get(_key(row, keys))) for row in left.iter_rows(named=True)]
    found += [Difference(_key(row, keys), None, row) for row in fresh.iter_rows(named=True)]
    return sorted(found, key=lambda each: [(cell is not None, cell) for cell in each.key])


def _by_key(frame: pl.DataFrame, keys: list[str]) -> dict[tuple[Any, ...], Row]:
    return {_key(row, keys): row for row in frame.iter_rows(named=True)}


def _key(row: Row, keys: list[str]) -> tuple[Any, ...]:
    return tuple(row[each] for each in keys)
