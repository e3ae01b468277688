"""Two editions of the data side by side, and what both know of their taxa."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import polars as pl

from sporeproof.form.load import Form
from sporeproof.release.differences import Row
from sporeproof.tables.build import BETWEEN
from sporeproof.tables.faults import Frames

TAXA = "taxa"
RETIRED = "retired"


@dataclass
class Editions:
    """The tables of two editions. ``schemas`` are those of the new one."""

    old: Frames
    new: Frames
    form: Form
    schemas: dict[str, dict[str, Any]] = field(init=False)

    def __post_init__(self) -> None:
        self.schemas = self.form.tables

    @cached_property
    def id(self) -> str:
        """The column that holds the id of a taxon."""
        return str(self.schemas[TAXA]["primaryKey"][0])

    @cached_property
    def before(self) -> dict[str, Row]:
        """The old entries by id."""
        return self._by_id(self.old, TAXA)

    @cached_property
    def after(self) -> dict[str, Row]:
        """The new entries by id."""
        return self._by_id(self.new, TAXA)

    @cached_property
    def retired(self) -> dict[str, Row]:
        """The ids that have ended, as the new edition knows them."""
        return self._by_id(self.new, RETIRED)

    def _by_id(self, frames: Frames, table: str) -> dict[str, Row]:
        rows = frames[table].iter_rows(named=True) if table in frames else []
        return {row[self.id]: row for row in rows if self.id in row}

    def successors(self, id: str) -> list[str]:
        """Return the ids that stand in the place of one that has ended."""
        row = self.retired.get(id, {})
        return [each for key in ("replaced_by", "consider") for each in (row.get(key) or "").split(BETWEEN) if each]

    def name(self, id: str) -> str:
        """Return the name that an id has, or had; empty where nobody knows it."""
        known = self.after.get(id) or self.before.get(id) or {}
        return str(known.get("name") or self.retired.get(id, {}).get("was") or "")

    def named(self, id: str) -> str:
        """Return an id with the name that it has, or had."""
        return f"{id} {self.name(id)}".strip()

    def verdict(self, id: str) -> str:
        """Return the verdict of an id, of one that has ended the last one; empty where nobody knows it."""
        return str((self.after.get(id) or self.before.get(id) or {}).get("verdict") or "")

    def gone(self) -> list[str]:
        """Return the ids that the old edition knows, as entries or as retired, and the new one does not."""
        known = [*self.before, *self._by_id(self.old, RETIRED)]
        return [id for id in known if id not in self.after and id not in self.retired]

    def taxa_of(self, table: str) -> list[str]:
        """Return the fields of a table that hold ids of taxa, those of its key first."""
        schema = self.schemas[table]
        links = [each for each in schema.get("foreignKeys", []) if each["reference"]["resource"] == TAXA]
        fields = {name for each in links for name in each["fields"]} | {self.id}
        columns = [each["name"] for each in schema["fields"]]
        return sorted(fields & set(columns), key=lambda name: (name not in schema["primaryKey"], columns.index(name)))

    def about(self, table: str, row: Row) -> tuple[str, str]:
        """Return whom a row is about, and the other one of a pair; empty for nobody.

        Of a pair that is the one that people would rather eat, wherever the pair is written: it is they who must know.
        """
        ids = [row[name] for name in self.taxa_of(table) if row.get(name)]
        order = list(self.form.vocabularies["verdicts"])
        mild = [order.index(verdict) if (verdict := self.verdict(id)) in order else -1 for id in ids]
        if len(ids) > 1 and mild[1] > mild[0]:
            ids[:2] = ids[1::-1]
        return (ids[0] if ids else ""), (ids[1] if len(ids) > 1 else "")

    def led_on(self, table: str) -> pl.DataFrame:
        """Return the old rows, links to a taxon that was merged since led on to the one that took its place."""
        frame = self.old[table]
        merged = {id: led[0] for id in self.retired if len(led := self.successors(id)) == 1}
        links = [name for name in self.taxa_of(table)[1:] if name in frame.columns]
        return frame.with_columns(pl.col(name).replace(merged) for name in links)

    def citation(self, source: str) -> str:
        """Return what is cited under the id of a source; of one that is built in, what it is called."""
        built_in = self.form.vocabularies["source-kinds"].get(source)
        return built_in.title if built_in else self._citations.get(source, source)

    @cached_property
    def _citations(self) -> dict[str, str]:
        cited = (frames["sources"] for frames in (self.old, self.new) if "sources" in frames)
        rows = [row for frame in cited for row in frame.iter_rows(named=True)]
        return {row["source_id"]: str(row["citation"]) for row in rows if row.get("citation")}
