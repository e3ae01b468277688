"""All tables as one SQLite database, with keys, and views in which no verdict stands without what it hangs on."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from datetime import date
from itertools import islice, zip_longest
from typing import Any

from sporeproof.findings import plain
from sporeproof.form.load import Form
from sporeproof.release.content import Content, Files, Rows
from sporeproof.release.formats.sqlite_schema import APPLICATION, about, order_of, over, tables

Cells = tuple[Any, ...]

MOST_TOLD = 20
# The number of the tables' form, raised when a table or a view changes its meaning.
SCHEMA = 1
PAGE = 4096
# A broken file may make a question endless: one of ours takes a small part of so many steps of the machine.
STEPS, MOST_STEPS = 1_000_000, 10_000
SCHEMA_OF = "SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY type, name"


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [path_of(content)]


def path_of(content: Content) -> str:
    """Return the path of the database in a release."""
    return f"{content.words['name']}.sqlite"


def to_sqlite(content: Content) -> Files:
    """Return the database: rows in the order of their keys, nothing in it that tells when or where it was made."""
    with closing(_memory()) as base:
        _create(base, tables(content.form))
        for table, rows in content.rows.items():
            marks = ", ".join("?" * len(rows.names))
            base.executemany(f'INSERT INTO "{table}" VALUES ({marks})', _cells(rows))
        base.executemany("INSERT INTO about VALUES (?, ?)", about(content))
        base.commit()
        _create(base, over(content.form))
        return {path_of(content): base.serialize()}


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each thing that the database lacks, adds or says otherwise than the tables.

    Its schema is compared first, and nothing more is asked of a database that has another one: no view or trigger that
    is not ours ever runs.
    """
    path = path_of(content)
    if path not in files:
        yield f"{path} is missing."
        return
    try:
        with closing(_memory()) as base:
            base.deserialize(files[path])
            yield from (f"{path}: {each}." for each in islice(_amiss(base, content), MOST_TOLD))
    except (sqlite3.Error, OverflowError, MemoryError, UnicodeDecodeError) as error:
        yield f"{path} cannot be read as an SQLite database: {plain(str(error))[:200]}."


def _memory() -> sqlite3.Connection:
    """Return a database in memory that trusts nothing that a file says of itself."""
    base = sqlite3.connect(":memory:")
    for word in (f"page_size = {PAGE}", "journal_mode = OFF", "trusted_schema = OFF", "cell_size_check = ON"):
        base.execute(f"PRAGMA {word}")
    return base


def _create(base: sqlite3.Connection, statements: Iterable[str]) -> None:
    base.executescript(f"PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {SCHEMA};")
    for statement in statements:
        base.execute(statement)


def _cells(rows: Rows) -> Iterator[Cells]:
    """Yield the rows as SQLite holds them: a day as text, true and false as 1 and 0."""
    for cells in rows.cells():
        yield tuple(cell.isoformat() if isinstance(cell, date) else cell for cell in cells)


def _amiss(base: sqlite3.Connection, content: Content) -> Iterator[str]:
    base.execute("PRAGMA query_only = ON")
    base.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 0)
    taken = iter(range(MOST_STEPS))
    base.set_progress_handler(lambda: next(taken, None) is None, STEPS)
    if other := list(_other_schema(base, content.form)):
        yield from other
        return
    for (said,) in base.execute("PRAGMA integrity_check(5)"):
        if said != "ok":
            yield f"it is damaged: {plain(said)[:200]}"
    for table, *_ in base.execute("PRAGMA foreign_key_check"):
        yield f"a row of {table} leads to no row of another table"
    for table, rows in content.rows.items():
        names, keys = (", ".join(f'"{name}"' for name in each) for each in (rows.names, order_of(table, content.form)))
        yield from _of_table(table, rows, base.execute(f'SELECT {names} FROM "{table}" ORDER BY {keys}'))
    if list(base.execute("SELECT key, value FROM about ORDER BY key")) != about(content):
        yield "what it says of the version as a whole is not what the other files say"


def _other_schema(base: sqlite3.Connection, form: Form) -> Iterator[str]:
    """Yield what it has beside or instead of our tables, indexes and views."""
    with closing(_memory()) as ours:
        _create(ours, (*tables(form), *over(form)))
        wanted, found = ({tuple(row[:3]): row[3] for row in each.execute(SCHEMA_OF)} for each in (ours, base))
    for key in sorted({*wanted, *found}, key=str):
        kind, name, *_ = map(str, key)
        if key not in found:
            yield f"the {kind} {name} is missing"
        elif key not in wanted:
            yield f"the {kind} {plain(name)[:80]} does not belong there"
        elif found[key] != wanted[key]:
            yield f"the {kind} {name} is another one than ours"
    marks = [base.execute(f"PRAGMA {each}").fetchone()[0] for each in ("application_id", "user_version")]
    if marks != [APPLICATION, SCHEMA]:
        yield "it is not marked as a database of this kind"


def _of_table(table: str, rows: Rows, found: Iterator[Cells]) -> Iterator[str]:
    for number, (there, here) in enumerate(zip_longest(found, _cells(rows)), 1):
        if there is None or here is None:
            yield f"{table} has {'fewer' if there is None else 'more'} than its {len(rows)} rows"
            return
        if there != here or list(map(type, there)) != _types(here):
            place = next(place for place, pair in enumerate(zip(there, here, strict=True)) if _differ(*pair))
            said, wanted = (plain(str(each[place]))[:60] for each in (there, here))
            yield f"{table}, row {number}, {rows.names[place]}: says {said} where the tables say {wanted}"


def _differ(there: Any, here: Any) -> bool:
    return there != here or type(there) is not _types((here,))[0]


def _types(cells: Cells) -> list[type]:
    return [int if isinstance(cell, bool) else type(cell) for cell in cells]
