"""What a version is made of: every file of a release is written from this, and every format is held against it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sporeproof.form.load import Form
from sporeproof.tables.build import BETWEEN
from sporeproof.tables.faults import Frames, in_order

Row = dict[str, Any]
Files = dict[str, bytes]


@dataclass(frozen=True)
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
    def rows(self) -> dict[str, list[Row]]:
        """The rows of each table in the order of its key; an empty cell is None."""
        schemas = self.form.tables
        return {name: list(in_order(frame, schemas[name]).iter_rows(named=True)) for name, frame in self.frames.items()}

    @cached_property
    def by_taxon(self) -> dict[str, dict[str, list[Row]]]:
        """The rows of each table that bear a taxon id, by that id."""
        found: dict[str, dict[str, list[Row]]] = {}
        for table, rows in self.rows.items():
            there = found.setdefault(table, {})
            for row in rows:
                if row.get("taxon_id"):
                    there.setdefault(row["taxon_id"], []).append(row)
        return found

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
    def distinctions_of(self) -> dict[tuple[str, str], list[Row]]:
        """What each character does to tell a pair apart, by the ids of the pair as in ``confusions``."""
        found: dict[tuple[str, str], list[Row]] = {}
        for row in self.rows["distinctions"]:
            found.setdefault((row["taxon_id"], row["with_taxon_id"]), []).append(row)
        return found

    def of(self, table: str, id: str) -> list[Row]:
        """Return the rows of a table that speak of a taxon."""
        return self.by_taxon.get(table, {}).get(id, [])


def listed(cell: str | None) -> list[str]:
    """Return the words of a list in one cell; an empty cell holds none."""
    return cell.split(BETWEEN) if cell else []
