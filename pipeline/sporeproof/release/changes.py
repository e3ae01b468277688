"""What changed between two editions of the data, each change with what it means and a sentence for people."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import polars as pl

from sporeproof.release.differences import Difference, Row, differences
from sporeproof.release.editions import RETIRED, TAXA, Editions
from sporeproof.release.strictness import QUIET, WEIGHTS, Kind, of_row, of_value
from sporeproof.release.worded import row_in_words, value_in_words
from sporeproof.tables.build import BETWEEN, joined
from sporeproof.tables.faults import shown


@dataclass(frozen=True, slots=True)
class Change:
    """One change: what it means, whom it is about, where it stands, and a sentence of words.

    ``taxon_id`` is empty where it is about no taxon, ``column`` where a whole row came or went; ``key`` holds the cells
    of the row's key, ``source_ids`` and ``reason`` what the data gives for it.
    """

    kind: Kind
    table: str
    text: str
    taxon_id: str = ""
    name: str = ""
    with_taxon_id: str = ""
    with_name: str = ""
    column: str = ""
    key: tuple[str, ...] = ()
    old: str = ""
    new: str = ""
    source_ids: str = ""
    reason: str = ""

    @property
    def subject(self) -> str:
        """Id and name of whom it is about; empty for nobody."""
        return f"{self.taxon_id} {self.name}".strip()

    @property
    def line(self) -> str:
        """The whole line of the news."""
        return f"{self.subject}: {self.text}" if self.subject else f"{self.table}: {self.text}"

    @property
    def weight(self) -> int:
        """How much it raises the version."""
        return WEIGHTS[self.kind]


def changes(editions: Editions) -> list[Change]:
    """Return every change of the rows, the gravest first, then by whom it is about."""
    found: list[Change] = []
    for table, schema in editions.schemas.items():
        # Notices tell of changes; they are none.
        if table in editions.old and not schema["change"].get("history"):
            found += _of_table(editions, table)
    kinds = list(Kind)
    return sorted(set(found), key=lambda each: (each.weight, kinds.index(each.kind), each.line))


def _of_table(editions: Editions, table: str) -> Iterator[Change]:
    schema = editions.schemas[table]
    for each in differences(editions.led_on(table), editions.new[table], schema["primaryKey"]):
        if each.old is not None and each.new is not None:
            found: Iterable[Change] = _in_row(editions, table, each)
        elif table in {TAXA, RETIRED}:
            found = _life(editions, table, each)
        else:
            found = _whole_row(editions, table, each)
        yield from (change for change in found if _is_told(editions, table, each, change.kind))


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
    for column in editions.schemas[table]["fields"]:
        name = column["name"]
        if name in old and old[name] != new[name]:
            kind = of_value(column, old[name], new[name])
            text = value_in_words(editions, table, name, old, new) + _allowed_by(editions, table, kind, each)
            because = column["change"].get("because") if isinstance(column.get("change"), dict) else None
            yield _change(editions, table, each, kind, text, (name, shown(old[name]), shown(new[name])), because)


def _whole_row(editions: Editions, table: str, each: Difference) -> Iterator[Change]:
    schema = editions.schemas[table]
    kind = of_row(schema, each.old, each.new)
    row = each.new or each.old or {}
    how = "gone" if each.new is None else "new"
    if group := schema["change"].get("group"):
        kind, how = _of_group(editions, table, group, each, kind, how)
    text = row_in_words(editions, table, row, how, kind) + _allowed_by(editions, table, kind, each)
    _, other = editions.about(table, row)
    rest = [shown(row[key]) for key in schema["primaryKey"] if key not in editions.taxa_of(table)]
    cells = BETWEEN.join([*rest, *([other] if other else [])])
    yield _change(editions, table, each, kind, text, ("", cells if each.old else "", cells if each.new else ""))


def _change(
    editions: Editions,
    table: str,
    each: Difference,
    kind: Kind,
    text: str,
    cell: tuple[str, str, str],
    because: list[str] | None = None,
) -> Change:
    """Return a change with all that the data says of it; ``cell`` is the column, the old and the new value."""
    row, schema = each.new or each.old or {}, editions.schemas[table]
    one, other = editions.about(table, row)
    given = schema["change"].get("because", []) if because is None else because
    reasons = [_reason(editions, column, row) for column in given if row.get(column)]
    return Change(
        kind,
        table,
        text,
        one,
        editions.name(one) if one else "",
        other,
        editions.name(other) if other else "",
        cell[0],
        tuple(shown(row[key]) for key in schema["primaryKey"]),
        cell[1],
        cell[2],
        joined(_sources_of(schema, row)) or "",
        " ".join(reasons),
    )


def _reason(editions: Editions, column: str, row: Row) -> str:
    fields = (each for schema in editions.schemas.values() for each in schema["fields"])
    if any(each["name"] == column and each.get("change") == Kind.SOURCES for each in fields):
        return "; ".join(editions.citation(each) for each in str(row[column]).split(BETWEEN))
    return str(row[column])


def _sources_of(schema: dict[str, Any], row: Row) -> list[str]:
    names = [each["name"] for each in schema["fields"] if each.get("change") == Kind.SOURCES]
    return [id for name in names if row.get(name) for id in str(row[name]).split(BETWEEN)]


def _of_group(
    editions: Editions, table: str, group: list[str], each: Difference, kind: Kind, how: str
) -> tuple[Kind, str]:
    """Return what a row means where no row of its group at all means that everything goes, and how it is told."""
    row, other = (each.new, editions.old) if each.new else (each.old, editions.new)
    there = other[table].filter(pl.all_horizontal(pl.col(name) == (row or {})[name] for name in group))
    if there.height:
        return kind, how
    return (Kind.STRICTER, "first") if kind is Kind.MILDER else (Kind.MILDER, "last")


def _allowed_by(editions: Editions, table: str, kind: Kind, each: Difference) -> str:
    """Return the source that allows something milder: the row's own, else the one of the verdict."""
    if kind not in {Kind.MILDER, Kind.EASED}:
        return ""
    row, taxa = each.new or each.old or {}, editions.taxa_of(table)
    entry = editions.after.get(row.get(taxa[0]) or "") if taxa else None
    for schema, cells in ((editions.schemas[table], each.new or {}), (editions.schemas[TAXA], entry or {})):
        if found := _sources_of(schema, cells):
            return f" (source: {', '.join(found)})"
    return " (no source says so)"


def _life(editions: Editions, table: str, each: Difference) -> Iterator[Change]:
    """Yield what became of an entry: it is new, withdrawn, merged or split; a lost id is a broken promise."""
    row = each.new or each.old or {}
    id = row[editions.id]
    nothing = ("", "", "")
    if each.new is None:
        if id not in editions.retired and id not in editions.after:
            yield _change(editions, table, each, Kind.MEANING, "gone without being retired", nothing)
    elif table == TAXA:
        text = row_in_words(editions, table, row, "new", Kind.ENTRY)
        yield _change(editions, table, each, Kind.ENTRY, text, ("", "", str(row["verdict"])))
    else:
        yield _withdrawn(editions, each, id)


def _withdrawn(editions: Editions, each: Difference, id: str) -> Change:
    led = editions.successors(id)
    verdict = editions.before.get(id, {}).get("verdict")
    now = editions.form.most_cautious(editions.after[each]["verdict"] for each in led if each in editions.after)
    says = editions.schemas[RETIRED]["change"]["says"]
    how = ("merged" if editions.retired[id].get("replaced_by") else "split") if led else "new"
    text = says[how].format(successors=", ".join(map(editions.named, led)))
    ends = ("", str(verdict or ""), BETWEEN.join(led))
    if not verdict or not now or verdict == now:
        return _change(editions, RETIRED, each, Kind.WITHDRAWN, text, ends)
    kind = Kind.MILDER if editions.form.is_stricter(verdict, now) else Kind.STRICTER
    was, is_ = (editions.form.vocabularies["verdicts"][word].title for word in (verdict, now))
    because = f" (because: {editions.retired[id]['reason']})" if kind is Kind.MILDER else ""
    return _change(editions, RETIRED, each, kind, f"{text}; the verdict was {was} and is now {is_}{because}", ends)
