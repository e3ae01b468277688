"""What a version is made of: every file of a release is written from this, and every format is held against it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, overload

import polars as pl

from sporeproof.form.load import Form
from sporeproof.tables.build import BETWEEN
from sporeproof.tables.faults import Frames, in_order

Row = dict[str, Any]
Files = dict[str, bytes]
Key = tuple[Any, ...]


class Rows(Sequence[Row]):
    """The rows of a table in the order of its key, made when they are asked for; an empty cell is None.

    A large dataset has millions of rows. Kept by column, with texts that are alike as one text, they fit into memory.
    """

    def __init__(self, frame: pl.DataFrame) -> None:
        self.names = frame.columns
        self._columns = [_shared(frame[name]) for name in frame.columns]
        self._height = frame.height

    def __len__(self) -> int:
        return self._height

    def __iter__(self) -> Iterator[Row]:
        return (dict(zip(self.names, cells, strict=True)) for cells in self.cells())

    def cells(self) -> Iterator[tuple[Any, ...]]:
        """Return the rows as plain tuples, in the order of ``names``."""
        return zip(*self._columns, strict=True)

    @overload
    def __getitem__(self, at: int) -> Row: ...
    @overload
    def __getitem__(self, at: slice) -> list[Row]: ...
    def __getitem__(self, at: int | slice) -> Row | list[Row]:
        if isinstance(at, slice):
            return [self[place] for place in range(self._height)[at]]
        return {name: column[at] for name, column in zip(self.names, self._columns, strict=True)}

    def at(self, places: Iterable[int]) -> list[Row]:
        """Return the rows at some places, counted from 0."""
        if not isinstance(places, range):
            return [self[place] for place in places]
        stretch = slice(places.start, places.stop)
        cells = zip(*[column[stretch] for column in self._columns], strict=True)
        return [dict(zip(self.names, each, strict=True)) for each in cells]

    def places(self, *names: str) -> dict[Key, Sequence[int]]:
        """Return where the rows with each combination of some columns stand; a stretch of them is a range."""
        columns = [self._columns[self.names.index(name)] for name in names]
        found: dict[Key, range | list[int]] = {}
        for place, key in enumerate(zip(*columns, strict=True)):
            there = found.get(key)
            if there is None:
                found[key] = range(place, place + 1)
            elif isinstance(there, range) and there.stop == place:
                found[key] = range(there.start, place + 1)
            else:
                found[key] = [*there, place]
        return dict(found)


def _shared(column: pl.Series) -> list[Any]:
    if column.dtype != pl.String:
        return column.to_list()
    seen: dict[str | None, str | None] = {}
    return [seen.setdefault(cell, cell) for cell in column]


@dataclass(frozen=True, eq=False)
class Content:
    """The tables of a version, the schema they keep to, and what is said of the version as a whole.

    ``words`` is what ``dataset/package.yaml`` says, ``provenance`` what :mod:`sporeproof.release.provenance` tells.
    """

    frames: Frames
    form: Form
    words: dict[str, Any]
    version: str
    provenance: dict[str, Any]

    @cached_property
    def rows(self) -> dict[str, Rows]:
        """The rows of each table."""
        schemas = self.form.tables
        return {name: Rows(in_order(frame, schemas[name])) for name, frame in self.frames.items()}

    @cached_property
    def taxa(self) -> dict[str, Row]:
        """The rows of ``taxa`` by id."""
        return {row["taxon_id"]: row for row in self.rows["taxa"]}

    @cached_property
    def terms(self) -> dict[tuple[str, str], Row]:
        """The words of the vocabularies, by vocabulary and id."""
        return {(row["vocabulary"], row["id"]): row for row in self.rows["terms"]}

    @cached_property
    def catalogue(self) -> dict[str, Row]:
        """The characters by id."""
        return {row["character_id"]: row for row in self.rows["catalogue"]}

    @cached_property
    def _taxon_places(self) -> dict[str, dict[Key, Sequence[int]]]:
        return {name: rows.places("taxon_id") for name, rows in self.rows.items() if "taxon_id" in rows.names}

    @cached_property
    def _pair_places(self) -> dict[Key, Sequence[int]]:
        return self.rows["distinctions"].places("taxon_id", "with_taxon_id")

    def of(self, table: str, id: str) -> list[Row]:
        """Return the rows of a table that speak of a taxon; none for a table that this version does not have."""
        places = self._taxon_places.get(table, {}).get((id,), ())
        return self.rows[table].at(places) if places else []

    def distinctions(self, id: str, other: str) -> list[Row]:
        """Return what each character does to tell a pair apart, the ids as they stand in ``confusions``."""
        return self.rows["distinctions"].at(self._pair_places.get((id, other), ()))


def listed(cell: str | None) -> list[str]:
    """Return the words of a list in one cell; an empty cell holds none."""
    return cell.split(BETWEEN) if cell else []
