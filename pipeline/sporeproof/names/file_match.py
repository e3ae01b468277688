"""Matches the names of a whole file against an index: each distinct name once, every row kept in its order.

The rows stream through: what is held is the distinct names, on disk where there are many, never the rows.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.names.backbone.plain_match import ANSWERED, answered, settle
from sporeproof.names.backbone.sql import literal, quoted
from sporeproof.names.matching.asked import HIGHER, Given, asked_all

if TYPE_CHECKING:
    from sporeproof.names.backbone.ask import Backbone
    from sporeproof.names.opening import Sheet

# What a column of the file tells of a name, by its Darwin Core term; of several the first that is there.
NAME, AUTHORSHIP = ("scientificName",), ("scientificNameAuthorship",)
RANK = ("taxonRank", "verbatimTaxonRank")
WORDS = (("genericName", "genus"), ("specificEpithet",), ("infraspecificEpithet",))
ASKED = ("name", "authorship", "rank", *HIGHER)
TO = {".csv": "(FORMAT csv, HEADER)", ".tsv": "(FORMAT csv, HEADER, DELIMITER '\t')",
      ".parquet": "(FORMAT parquet, COMPRESSION zstd)"}  # fmt: skip
TYPES = ("VARCHAR",) * (len(ANSWERED) - 2) + ("INTEGER", "INTEGER")
# What is told of a name stands beside a row while it is matched, under names that no file has.
ASIDE = "\x1f"
# Rows of answers are given to the database in such portions.
PORTION = 20_000

Progress = Callable[[str, int, int], None]


class NotMatched(Exception):
    """The file was not matched; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Counted:
    """How many rows and distinct names came to each outcome."""

    rows: dict[str, int]
    names: dict[str, int]


def match_file(
    backbone: Backbone, sheet: Sheet, to: Path, *, kingdom: str, strict: bool, progress: Progress
) -> Counted:
    """Write the rows of a sheet with the answers on their names; return what they came to.

    ``kingdom`` is asked for where the file tells none. Raises :class:`NotMatched`.
    """
    form = _format(to)
    source, columns = source_of(sheet)
    telling = _telling(sheet, columns, kingdom)
    connection = backbone.connection
    progress("names", 0, 3)
    told = ", ".join(f"{expression} AS {quoted(each)}" for each, expression in telling.items())
    given = f"(SELECT {told} FROM {source})"
    listed = ", ".join(map(quoted, ASKED))
    connection.execute(
        f"CREATE TABLE names AS SELECT row_number() OVER () AS id, * FROM "
        f"(SELECT {listed}, count(*) AS rows FROM {given} GROUP BY {listed})"
    )
    progress("plain names", 1, 3)
    if strict:
        columns_of = ", ".join(f"{each} {type_}" for each, type_ in zip(ANSWERED, TYPES, strict=True))
        connection.execute(f"CREATE TABLE answers (id BIGINT, {columns_of})")
    else:
        settle(backbone, "names", "answers")
    _match_rest(backbone, strict=strict, progress=progress)
    _write(backbone, source, columns, telling, to, form)
    return _counted(connection)


def source_of(sheet: Sheet) -> tuple[str, list[str]]:
    """Return the SQL that reads a sheet with each column as text, and the columns' names."""
    path = literal(str(sheet.path))
    if sheet.kind == "parquet":
        return f"read_parquet({path})", list(sheet.columns)
    columns = ", ".join(f"{literal(each)}: 'VARCHAR'" for each in sheet.columns)
    quote = literal(sheet.quote)
    return (
        f"read_csv({path}, delim={literal(sheet.delimiter)}, header={str(sheet.has_header).lower()}, quote={quote}, "
        f"escape={quote}, auto_detect=false, max_line_size=4194304, columns={{{columns}}})"
    ), list(sheet.columns)


def _format(to: Path) -> str:
    if (form := TO.get(to.suffix.lower())) is None:
        raise NotMatched(f"{to}: write to a file that ends in {', '.join(TO)}; that says which format is meant.")
    if not to.parent.is_dir():
        raise NotMatched(f"{to}: there is no folder {to.parent}. Make it first, or name another place.")
    return form


def _telling(sheet: Sheet, columns: list[str], kingdom: str) -> dict[str, str]:
    """Return the SQL that tells each thing asked for; raises where no column holds names, or one is taken."""
    there = {each.lower(): each for each in columns}
    taken = [there[each] for each in ANSWERED if each in there]
    if taken:
        raise NotMatched(f"The file has a column {taken[0]} already, which the answers need. Rename it first.")
    defaults = dict(sheet.defaults)

    def column(*terms: str) -> str:
        found = next((there[each.lower()] for each in terms if each.lower() in there), None)
        default = next((defaults[each] for each in terms if each in defaults), "")
        return f"coalesce(trim({quoted(found)}::VARCHAR), {literal(default)})" if found else literal(default)

    name = column(*NAME)
    if not any(each.lower() in there for each in NAME):
        if not {"specificepithet"} & there.keys():
            raise NotMatched(
                f"No column holds names. One must be called scientificName (Darwin Core). Here: {', '.join(columns)}."
            )
        name = "trim(regexp_replace(" + " || ' ' || ".join(column(*each) for each in WORDS) + r", '\s+', ' ', 'g'))"
    told = {"name": name, "authorship": column(*AUTHORSHIP), "rank": column(*RANK)}
    told |= {each: column(each) for each in HIGHER}
    if kingdom:
        told["kingdom"] = f"CASE WHEN {told['kingdom']} = '' THEN {literal(kingdom)} ELSE {told['kingdom']} END"
    return told


def _match_rest(backbone: Backbone, *, strict: bool, progress: Progress) -> None:
    """Match what a plain look-up does not settle, portion by portion."""
    connection = backbone.connection
    connection.execute(
        "CREATE TEMP TABLE rest AS SELECT * FROM names WHERE id NOT IN (SELECT id FROM answers) ORDER BY id"
    )
    total, done, last = _number(connection, "SELECT count(*) FROM rest"), 0, -1
    while done < total:
        listed = ", ".join(map(quoted, ASKED))
        rows = connection.execute(
            f"SELECT id, {listed} FROM rest WHERE id > {last} ORDER BY id LIMIT {PORTION}"
        ).fetchall()
        asked = asked_all(
            Given(name, by, rank, dict(zip(HIGHER, higher, strict=True))) for _, name, by, rank, *higher in rows
        )
        found = backbone.matches(asked, strict=strict)
        _insert(
            connection, ((row[0], *answered(one, match)) for row, one, match in zip(rows, asked, found, strict=True))
        )
        done, last = done + len(rows), rows[-1][0]
        progress("other names", done, total)


def _insert(connection: Any, rows: Iterable[tuple[Any, ...]]) -> None:
    import polars as pl

    schema = {"id": pl.Int64, **dict.fromkeys(ANSWERED, pl.String), "confidence": pl.Int32, "distance": pl.Int32}
    connection.register("portion", pl.DataFrame(list(rows), schema=schema, orient="row").to_arrow())
    connection.execute("INSERT INTO answers SELECT * FROM portion")
    connection.unregister("portion")


def _number(connection: Any, query: str) -> int:
    return int(connection.execute(query).fetchone()[0])


def _write(backbone: Backbone, source: str, columns: list[str], telling: dict[str, str], to: Path, form: str) -> None:
    """Write each row with its answer, whole or not at all; the order of the rows stays."""
    told = ", ".join(f"{expression} AS {quoted(ASIDE + each)}" for each, expression in telling.items())
    same = " AND ".join(f"a.{quoted(each)} = f.{quoted(ASIDE + each)}" for each in telling)
    kept = ", ".join(f"f.{quoted(each)}" for each in columns)
    new = ", ".join(f"a.{each}" for each in ANSWERED)
    handle, aside = tempfile.mkstemp(prefix=f".{to.name}.", dir=to.parent)
    os.close(handle)
    connection = backbone.connection
    # The names are what is looked up in, and the rows what streams through; else the rows would be held and mixed.
    connection.execute("SET disabled_optimizers = 'join_order,build_side_probe_side'")
    try:
        connection.execute(
            f"COPY (SELECT {kept}, {new} FROM (SELECT *, {told} FROM {source}) f LEFT JOIN "
            f"(SELECT n.*, a.* EXCLUDE (id) FROM names n JOIN answers a USING (id)) a ON {same}) "
            f"TO {literal(aside)} {form}"
        )
        Path(aside).chmod(0o644)
        os.replace(aside, to)
    finally:
        Path(aside).unlink(missing_ok=True)
        connection.execute("RESET disabled_optimizers")


def _counted(connection: Any) -> Counted:
    rows: dict[str, int] = {}
    names: dict[str, int] = {}
    for outcome, count, total in connection.execute(
        "SELECT a.outcome, count(*), sum(n.rows) FROM answers a JOIN names n USING (id) GROUP BY 1 ORDER BY 3 DESC, 1"
    ).fetchall():
        names[outcome], rows[outcome] = int(count), int(total)
    return Counted(rows, names)
