"""What changed between two editions of the data, each change with what it means and one line of words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import polars as pl

from sporeproof.form.load import Form
from sporeproof.release.differences import Difference, Row, differences
from sporeproof.release.strictness import QUIET, WEIGHTS, Kind, of_row, of_value
from sporeproof.tables.build import BETWEEN
from sporeproof.tables.faults import Frames, shown

TAXA = "taxa"
RETIRED = "retired"
NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Change:
    """One change: what it means, where, whom it is about (id and name, or nobody), and a line of words."""

    kind: Kind
    table: str
    subject: str
    text: str

    @property
    def line(self) -> str:
        """The whole line of the news."""
        return f"{self.subject}: {self.text}" if self.subject else f"{self.table}: {self.text}"

    @property
    def weight(self) -> int:
        """How much it raises the version."""
        return WEIGHTS[self.kind]


@dataclass
class Editions:
    """The tables of two editions, and what both know of their taxa. ``schemas`` are those of the new one."""

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

    def named(self, id: str) -> str:
        """Return an id with the name that it has, or had."""
        name = (self.after.get(id) or self.before.get(id) or {}).get("name") or self.retired.get(id, {}).get("was")
        return f"{id} {name}" if name else id

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


def changes(editions: Editions) -> list[Change]:
    """Return every change of the rows, the gravest first, then by whom it is about."""
    found: list[Change] = []
    for table in editions.schemas:
        if table in editions.old:
            found += _of_table(editions, table)
    kinds = list(Kind)
    return sorted(set(found), key=lambda each: (each.weight, kinds.index(each.kind), each.line))


def _of_table(editions: Editions, table: str) -> Iterator[Change]:
    schema = editions.schemas[table]
    old = _led_on(editions, table)
    for each in differences(old, editions.new[table], schema["primaryKey"]):
        if each.old is not None and each.new is not None:
            found: Iterable[Change] = _in_row(editions, table, each)
        elif table in {TAXA, RETIRED}:
            found = _life(editions, table, each)
        else:
            found = _whole_row(editions, table, each)
        yield from (change for change in found if _is_told(editions, table, each, change.kind))


def _led_on(editions: Editions, table: str) -> pl.DataFrame:
    """Return the old rows, links to a taxon that was merged since led on to the one that took its place."""
    frame = editions.old[table]
    merged = {id: led[0] for id in editions.retired if len(led := editions.successors(id)) == 1}
    links = [name for name in editions.taxa_of(table)[1:] if name in frame.columns]
    return frame.with_columns(pl.col(name).replace(merged) for name in links)


def _is_told(editions: Editions, table: str, each: Difference, kind: Kind) -> bool:
    """Tell whether a change is news.

    What a new or lost entry brings or takes is told by its own line, except what it means for one that stays.
    """
    if table in {TAXA, RETIRED}:
        return True
    row, keys = each.new or each.old or {}, editions.schemas[table]["primaryKey"]
    ids = {name: row.get(name) for name in editions.taxa_of(table)}
    staying = {name for name, id in ids.items() if id in editions.before and id in editions.after}
    if len(staying) == len(ids):
        return True
    return kind not in QUIET and (bool(staying) or not any(name in keys for name in ids))


def _in_row(editions: Editions, table: str, each: Difference) -> Iterator[Change]:
    old, new = each.old or {}, each.new or {}
    subject, rest = _whose(editions, table, new)
    for column in editions.schemas[table]["fields"]:
        name = column["name"]
        if name in old and old[name] != new[name]:
            kind = of_value(column, old[name], new[name])
            text = f"{name} {shown(old[name]) or NOTHING} -> {shown(new[name]) or NOTHING}"
            if kind is Kind.NAMES:
                text = f"{name} was {shown(old[name]) or NOTHING}"
            yield Change(kind, table, subject, rest + text + _allowed_by(editions, table, kind, each))


def _whole_row(editions: Editions, table: str, each: Difference) -> Iterator[Change]:
    schema = editions.schemas[table]
    kind = of_row(schema, each.old, each.new)
    row = each.new or each.old or {}
    if group := schema["change"].get("group"):
        kind = _of_group(editions, table, group, each, kind)
    subject, rest = _whose(editions, table, row)
    how = "added" if each.old is None else "removed"
    by = row.get(schema["change"].get("by", ""))
    text = f"{schema['change']['word']} {how} {rest.removesuffix(': ')}{f', {by}' if by else ''}"
    yield Change(kind, table, subject, text + _allowed_by(editions, table, kind, each))


def _of_group(editions: Editions, table: str, group: list[str], each: Difference, kind: Kind) -> Kind:
    """Return what a row means where no row of its group at all means that everything goes."""
    row, other = (each.new, editions.old) if each.new else (each.old, editions.new)
    there = other[table].filter(pl.all_horizontal(pl.col(name) == (row or {})[name] for name in group))
    if there.height:
        return kind
    return Kind.STRICTER if kind is Kind.MILDER else Kind.MILDER


def _whose(editions: Editions, table: str, row: Row) -> tuple[str, str]:
    """Return whom a row is about, and the rest of its key in words."""
    taxa, keys = editions.taxa_of(table), editions.schemas[table]["primaryKey"]
    subject = editions.named(row[taxa[0]]) if taxa and row.get(taxa[0]) else ""
    rest = [editions.named(row[key]) if key in taxa else shown(row[key]) for key in keys if not taxa or key != taxa[0]]
    word = ", ".join(each for each in rest if each)
    return subject, f"{word}: " if word else ""


def _allowed_by(editions: Editions, table: str, kind: Kind, each: Difference) -> str:
    """Return the source that allows something milder: the row's own, else the one of the verdict."""
    if kind not in {Kind.MILDER, Kind.EASED}:
        return ""
    row, taxa = each.new or each.old or {}, editions.taxa_of(table)
    entry = editions.after.get(row.get(taxa[0]) or "") if taxa else None
    for schema, row in ((editions.schemas[table], each.new or {}), (editions.schemas[TAXA], entry or {})):
        names = [each["name"] for each in schema["fields"] if each.get("change") == Kind.SOURCES]
        if found := [str(row[name]).replace(BETWEEN, ", ") for name in names if row.get(name)]:
            return f" (source: {', '.join(found)})"
    return " (no source says so)"


def _life(editions: Editions, table: str, each: Difference) -> Iterator[Change]:
    """Yield what became of an entry: it is new, withdrawn, merged or split; a lost id is a broken promise."""
    row = each.new or each.old or {}
    id = row[editions.id]
    subject = editions.named(id)
    if each.new is None:
        if id not in editions.retired and id not in editions.after:
            yield Change(Kind.MEANING, table, subject, "gone without being retired")
    elif table == TAXA:
        yield Change(Kind.ENTRY, table, subject, str(row["verdict"]))
    else:
        yield _withdrawn(editions, id, subject)


def _withdrawn(editions: Editions, id: str, subject: str) -> Change:
    led = editions.successors(id)
    verdict = editions.before.get(id, {}).get("verdict")
    now = editions.form.most_cautious(editions.after[each]["verdict"] for each in led if each in editions.after)
    where = ", ".join(map(editions.named, led))
    merged = bool(editions.retired[id].get("replaced_by"))
    text = f"{'merged into' if merged else 'withdrawn, consider'} {where}" if led else "withdrawn"
    if verdict and now and editions.form.is_stricter(verdict, now):
        return Change(
            Kind.MILDER,
            RETIRED,
            subject,
            f"{text}; verdict {verdict} -> {now} (because: {editions.retired[id]['reason']})",
        )
    return Change(Kind.WITHDRAWN, RETIRED, subject, text)
