"""The rows of the release tables back to the dataset that they were built of: the inverse of `build`.

`build` of what is rebuilt gives the same rows again, so nothing is lost that the tables hold; a release that gives
others contradicts itself.

What no table holds cannot come back: texts and the places in them, the order in which an entry lists things, who
reviewed it and what the reviewer read, the members of a genus or species group, ``grade_at_most``,
``no_dangerous_confusion``, ``excused``, the sources of needs and cautions, what a source from memory recalls, notes on
sources, a dismissed taxon that is listed as well, a reference that leads to no taxon or to several, peak months outside
the season.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry, Reading
from sporeproof.records.read import ENDING, TAXA, Companion, Dataset
from sporeproof.tables.build import BETWEEN, Tables
from sporeproof.tables.resolve import stem_of
from sporeproof.text.read import Page

Row = Mapping[str, Any]
Rows = Mapping[str, Iterable[Row]]
Block = dict[str, Any]

# The tables that entries fill.
OF_ENTRIES = (
    "taxa", "names", "vernaculars", "characters", "measurements", "needs", "cautions", "uses", "accept_only",
    "accept_ranges", "opinions", "taxa_syndromes", "settings", "seasons", "confusions", "distinctions",
)  # fmt: skip
TYPES: dict[str, type | tuple[type, ...]] = {
    "string": str, "integer": int, "number": (int, float), "boolean": bool, "date": date,
}  # fmt: skip
# What stands in `listed` of a pair that an entry lists, and of one that it dismisses; the engine brings up the others.
AUTHORED = "authored"
DISMISSED = "dismissed"
# The role of the name that stands in `taxa` as well.
CURRENT = "current"
MONTHS = range(1, 13)
NOTHING: tuple[Any, ...] = (None, "", [], {})


def named(tables: Tables, form: Form) -> dict[str, list[Row]]:
    """Return the rows of tables by column."""
    columns = {table: [field["name"] for field in form.tables[table]["fields"]] for table in tables}
    return {table: [dict(zip(columns[table], row, strict=True)) for row in rows] for table, rows in tables.items()}


def rebuilt(rows: Rows, form: Form, words: Block | None = None) -> Dataset:
    """Return the dataset that some tables come from; ``words`` are those of ``package.yaml``, which no table holds.

    The rows may come from anybody: cells of another type than the schema's count as empty, rows that lack what they
    speak of are left out, and nothing raises.
    """
    of = {table: _by(_written(table, rows, form), "taxon_id") for table in OF_ENTRIES}
    values = {id: _entry(id, {table: found.get(id, []) for table, found in of.items()}) for id in of["taxa"]}
    beside = {
        "sources": _sources(typed("sources", rows, form), form),
        "protections": _protections(typed("protections", rows, form)),
        "retired": _retired(_by(typed("retired", rows, form), "taxon_id")),
        "package": words or {},
    }
    companions = {name: Companion(Page(f"dataset/{name}.yaml"), value) for name, value in beside.items()}
    return Dataset(_readings(values), companions)


def typed(table: str, rows: Rows, form: Form) -> Iterator[Row]:
    """Yield the rows of a table by the columns of the schema; cells of another type than its own are empty."""
    kinds = {field["name"]: TYPES[field["type"]] for field in form.tables[table]["fields"]}
    for row in rows.get(table, ()):
        yield {name: cell if isinstance(cell := row.get(name), kind) else None for name, kind in kinds.items()}


def _written(table: str, rows: Rows, form: Form) -> Iterator[Row]:
    """Yield what entries say in a table; what the engine adds to it, often most of it, is left out."""
    found = typed(table, rows, form)
    if table == "confusions":
        return (row for row in found if row["listed"] in {AUTHORED, DISMISSED})
    return (row for row in found if row["claimed"]) if table == "distinctions" else found


def _readings(values: dict[str, Block]) -> list[Reading]:
    """Return the entries in the order of the files they would stand in; a second one of a name has its id there too."""
    found: dict[str, Entry] = {}
    for id, value in values.items():
        stem = stem_of(value.get("name", id))
        file = f"{TAXA}/{stem}{ENDING}"
        file = f"{TAXA}/{stem}-{id}{ENDING}" if file in found else file
        found[file] = Entry(file, "", value)
    return [Reading(Page(file), found[file]) for file in sorted(found)]


def _by(rows: Iterable[Row], column: str) -> dict[str, list[Row]]:
    """Return the rows by one of their cells; those where it is empty are left out."""
    found: dict[str, list[Row]] = {}
    for row in rows:
        if row.get(column):
            found.setdefault(row[column], []).append(row)
    return found


def _told(block: Block) -> Block:
    """Return a block without what is empty, at any depth of blocks."""
    below = {key: _told(each) if isinstance(each, dict) else each for key, each in block.items()}
    return {key: each for key, each in below.items() if each not in NOTHING}


def _listed(cell: str | None) -> list[str]:
    return cell.split(BETWEEN) if cell else []


def _words(rows: Iterable[Row], column: str = "id") -> list[str]:
    return [row[column] for row in rows if row[column]]


def _sources_of(rows: Iterable[Row]) -> list[str]:
    """Return the sources of some rows, each once; in one block they should all be the same."""
    return list(dict.fromkeys(id for row in rows for id in _listed(row["source_ids"])))


def _entry(id: str, mine: Mapping[str, list[Row]]) -> Block:
    """Return what an entry says, by the blocks of its file."""
    taxon = mine["taxa"][-1]
    entry = {
        "id": id,
        **{key: taxon[key] for key in ("name", "authorship", "rank", "family", "region")},
        "vernacular": _vernacular(mine["vernaculars"]),
        "former_names": _former(mine["names"]),
        "edibility": _edibility(taxon, mine),
        "uses": _words(mine["uses"]),
        **_setting(mine["settings"]),
        "season": _season(mine["seasons"]),
        "characters": _characters(mine),
        "confusions": list(_confusions(mine)),
        "not_confused_with": list(_dismissed(mine["confusions"])),
        "sources": {"setting": _sources_of([*mine["settings"], *mine["seasons"]])},
        "review": {"state": taxon["review_state"], "on": taxon["reviewed_on"]},
    }
    return _told(entry)


def _vernacular(rows: Iterable[Row]) -> dict[str, list[str]]:
    by_language = _by(sorted(rows, key=lambda row: not row["preferred"]), "language")
    return {language: _words(found, "name") for language, found in by_language.items()}


def _former(rows: Iterable[Row]) -> list[Block]:
    former = (row for row in rows if row["role"] != CURRENT and row["name"])
    return [_told({"name": row["name"], "authorship": row["authorship"], "kind": row["role"]}) for row in former]


def _edibility(taxon: Row, mine: Mapping[str, list[Row]]) -> Block:
    opinions = (row for row in mine["opinions"] if row["verdict"] and row["source_id"])
    only = {id: _words(found, "state") for id, found in _by(mine["accept_only"], "character_id").items()}
    return {
        "verdict": taxon["verdict"],
        "severity": taxon["severity"],
        "needs": _words(mine["needs"]),
        "cautions": _words(mine["cautions"]),
        "accept_only": only | {row["character_id"]: _range(row) for row in mine["accept_ranges"]},
        "syndromes": _words(mine["taxa_syndromes"], "syndrome_id"),
        "opinions": [{"verdict": row["verdict"], "source": row["source_id"]} for row in opinions],
    }


def _range(row: Row) -> list[float]:
    """Return low and high, or nothing where one of them is missing."""
    found = [row["low"], row["high"]]
    return [] if None in found else found


def _setting(rows: Iterable[Row]) -> Block:
    of = _by(rows, "kind")
    hosts = {strength: _words(found, "value") for strength, found in _by(of.get("host", []), "strength").items()}
    return {"hosts": hosts} | {kind: _words(of.get(kind, []), "value") for kind in ("substrate", "habitat")}


def _season(rows: Iterable[Row]) -> Block:
    """Return the first stretch of the months, which may wrap over the year's end, and the peak."""
    peaks = {row["month"]: bool(row["peak"]) for row in rows if row["month"] in MONTHS}
    if not peaks:
        return {}
    first = last = next((month for month in sorted(peaks) if _before(month) not in peaks), MONTHS[0])
    while (following := last % len(MONTHS) + 1) in peaks and following != first:
        last = following
    return {"from": first, "to": last, "peak": [month for month in sorted(peaks) if peaks[month]]}


def _before(month: int) -> int:
    return (month - 2) % len(MONTHS) + 1


def _characters(mine: Mapping[str, list[Row]]) -> dict[str, Block]:
    """Return each character with its own sources, as a list or a range, by stage where stages are given."""
    found: dict[str, Block] = {}
    for id, rows in _by([*mine["characters"], *mine["measurements"]], "character_id").items():
        stages = {stage: _value(there) for stage, there in _by(rows, "stage").items()}
        value = stages[UNSTAGED] if list(stages) == [UNSTAGED] else stages
        found[id] = _told({"is": _told(stages) if value is stages else value, "source": _sources_of(rows)})
    return {id: each for id, each in found.items() if "is" in each}


def _value(rows: list[Row]) -> list[Any]:
    """Return the states, or else the range, of one character at one stage."""
    states = [row for row in rows if "state" in row]
    return _words(states, "state") if states else _range(rows[0])


def _confusions(mine: Mapping[str, list[Row]]) -> Iterator[Block]:
    claims = _by(mine["distinctions"], "with_taxon_id")
    for other, rows in _by(mine["confusions"], "with_taxon_id").items():
        if rows[0]["listed"] == AUTHORED:
            yield _told(
                {
                    "with": other,
                    "told_apart_by": _words(claims.get(other, []), "character_id"),
                    "hints": _listed(rows[0]["hints"]),
                    "note": rows[0]["note"],
                    "source": _sources_of(rows),
                }
            )


def _dismissed(rows: Iterable[Row]) -> Iterator[Block]:
    for row in rows:
        if row["with_taxon_id"] and row["listed"] == DISMISSED:
            yield _told({"with": row["with_taxon_id"], "because": row["note"], "source": _sources_of([row])})


def _sources(given: Iterable[Row], form: Form) -> dict[str, Block]:
    """Return the sources by id; the built-in ones are the schema's."""
    optional = ("year", "doi", "isbn", "url")
    return {
        id: {"kind": rows[0]["kind"] or "", "citation": rows[0]["citation"] or ""}
        | _told({key: rows[0][key] for key in optional})
        for id, rows in _by(given, "source_id").items()
        if not form.flagged("source-kinds", id, "built-in")
    }


def _protections(rows: Iterable[Row]) -> list[Block]:
    """Return the protections; rows that differ in the territory alone are one."""
    found: dict[tuple[Any, ...], Block] = {}
    for row in rows:
        if row["instrument"] and row["name_as_listed"] and row["territory"]:
            same = tuple(cell for column, cell in row.items() if column not in {"territory", "taxon_id"})
            found.setdefault(same, _protection(row))["territories"].append(row["territory"])
    return list(found.values())


def _protection(row: Row) -> Block:
    optional = _told({key: row[key] for key in ("section", "since", "checked_on")})
    always = {"territories": [], "acts": _listed(row["acts"]), "source": _listed(row["source_id"])}
    return {"instrument": row["instrument"], "name_as_listed": row["name_as_listed"], **always, **optional}


def _retired(of: Mapping[str, list[Row]]) -> dict[str, Block]:
    return {
        id: {"was": rows[0]["was"] or "", "since": rows[0]["since"] or "", "because": rows[0]["reason"] or ""}
        | _told({key: _listed(rows[0][key]) for key in ("replaced_by", "consider")})
        for id, rows in of.items()
    }
