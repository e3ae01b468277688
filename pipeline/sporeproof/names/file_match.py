"""Matches the names of a whole file against an index: each distinct name once, every row kept in its order.

The rows stream through: what is held is the distinct names, on disk where there are many, and one portion of rows.
A join of all rows at once would mix them as soon as the names are too many for the memory, so each portion is joined
by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.form.cells import FORMULA
from sporeproof.names.backbone.ask import QUIETLY
from sporeproof.names.backbone.plain_match import ANSWERED, answered, settle
from sporeproof.names.backbone.sql import literal, quoted, unmistakable
from sporeproof.names.download.layout import cut
from sporeproof.names.file_write import NotMatched, beside, is_text, meet_place, write
from sporeproof.names.matching.asked import HIGHER, Given, asked_all
from sporeproof.names.outcome import CURRENT, HIGHER_ONLY, RENAMED, RESPELLED

if TYPE_CHECKING:
    from sporeproof.names.backbone.ask import Backbone
    from sporeproof.names.download.opening import Sheet

# What a column of the file tells of a name, by its Darwin Core term; of several the first that is not empty.
NAME, AUTHORSHIP, SPECIES = ("scientificName",), ("scientificNameAuthorship",), ("species",)
QUALIFIER = ("identificationQualifier",)
RANK = ("taxonRank", "verbatimTaxonRank")
GENUS, EPITHET, BELOW = ("genericName", "genus"), ("specificEpithet",), ("infraspecificEpithet",)
ASKED = ("name", "authorship", "rank", *HIGHER)
TYPES = ("VARCHAR",) * (len(ANSWERED) - 2) + ("INTEGER", "INTEGER")
# Outcomes for which one taxon can be named; for the others it would be one of several, or not what was asked.
OF_ONE_TAXON = (CURRENT, RENAMED, RESPELLED, HIGHER_ONLY)
# What a spreadsheet takes for text, whatever follows.
APOSTROPHE = r"'\1"
# What is told of a name stands beside a row while it is matched, under names that no file has.
ASIDE = "\x1f"
# Names are answered, and rows written, in such portions.
PORTION, ROWS = 50_000, 50_000

Progress = Callable[[str, int, int], None]


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
    meet_place(to, sheet.path)
    telling = _telling(sheet, kingdom)
    connection = backbone.connection
    with beside(to) as aside:
        progress("names", 0, 3)
        told = ", ".join(f"{expression} AS {quoted(each)}" for each, expression in telling.items())
        listed = ", ".join(map(quoted, ASKED))
        connection.execute(
            f"CREATE TABLE names AS SELECT row_number() OVER () AS id, * FROM "
            f"(SELECT {listed}, count(*) AS rows FROM (SELECT {told} FROM {source_of(sheet)}) GROUP BY {listed})"
        )
        progress("plain names", 1, 3)
        columns = ", ".join(f"{each} {type_}" for each, type_ in zip(ANSWERED, TYPES, strict=True))
        connection.execute(f"CREATE TABLE long_answers (id BIGINT, {columns})")
        plain = "" if strict else " UNION ALL SELECT * FROM plain_answers"
        if not strict:
            settle(backbone, "names", "plain_answers")
        connection.execute(f"CREATE VIEW answers AS SELECT * FROM long_answers{plain}")
        _match_rest(backbone, strict=strict, progress=progress)
        write(_joined(backbone, sheet, telling, progress, as_text=is_text(to)), aside, to)
    return _counted(connection)


def source_of(sheet: Sheet) -> str:
    """Return the SQL that reads a sheet with each column as text; what the file is called decides nothing."""
    path = literal(unmistakable(sheet.path))
    if sheet.kind == "parquet":
        return f"read_parquet({path}, hive_partitioning=false)"
    columns = ", ".join(f"{literal(each)}: 'VARCHAR'" for each in sheet.columns)
    quote = literal(sheet.quote)
    return (
        f"read_csv({path}, delim={literal(sheet.delimiter)}, header={str(sheet.has_header).lower()}, quote={quote}, "
        f"escape={quote}, auto_detect=false, allow_quoted_nulls=false, compression='none', hive_partitioning=false, "
        f"max_line_size=4194304, columns={{{columns}}})"
    )


def _telling(sheet: Sheet, kingdom: str) -> dict[str, str]:
    """Return the SQL that tells each thing asked for; raises where no column holds names, or one is taken."""
    there = _columns_by_term(sheet)
    defaults = {term.lower(): said for term, said in sheet.defaults}

    def column(*terms: str) -> str:
        told = []
        for each in map(str.lower, terms):
            told += [f"nullif(trim({quoted(there[each])}::VARCHAR), '')"] if each in there else []
            told += [literal(defaults[each])] if each in defaults else []
        return f"coalesce({', '.join([*told, literal('')])})" if told else literal("")

    if not any(each.lower() in {*there, *defaults} for each in (*NAME, *EPITHET, *SPECIES)):
        columns = ", ".join(sheet.columns)
        raise NotMatched(f"No column holds names. One must be called scientificName (Darwin Core). Here: {columns}.")
    words = " || ' ' || ".join(column(*each) for each in (GENUS, EPITHET, BELOW))
    joined = f"CASE WHEN {column(*EPITHET)} <> '' THEN trim(regexp_replace({words}, '\\s+', ' ', 'g')) ELSE '' END"
    names = ", ".join(f"nullif({each}, '')" for each in (column(*NAME), joined, column(*SPECIES), column(*GENUS)))
    # Whoever qualified an identification did not mean the name as it stands.
    doubt = f"CASE WHEN {column(*QUALIFIER)} <> '' THEN ' [?]' ELSE '' END"
    told = {"name": f"coalesce({names}, '') || {doubt}", "authorship": column(*AUTHORSHIP), "rank": column(*RANK)}
    told |= {each: column(each) for each in HIGHER}
    if kingdom:
        told["kingdom"] = f"CASE WHEN {told['kingdom']} = '' THEN {literal(kingdom)} ELSE {told['kingdom']} END"
    return told


def _columns_by_term(sheet: Sheet) -> dict[str, str]:
    """Return the columns by their terms in small letters; raises where it is not clear which one is meant."""
    there: dict[str, str] = {}
    for each in sheet.columns:
        if (term := cut(each).lower()) in ANSWERED:
            raise NotMatched(f"The file has a column {each} already, which the answers need. Rename it first.")
        if term in there:
            raise NotMatched(f"The columns {there[term]} and {each} have one name. Rename one of them first.")
        there[term] = each
    return there


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
    connection.execute("INSERT INTO long_answers SELECT * FROM portion")
    connection.unregister("portion")


def _number(connection: Any, query: str) -> int:
    return int(connection.execute(query).fetchone()[0])


def _joined(
    backbone: Backbone, sheet: Sheet, telling: dict[str, str], progress: Progress, *, as_text: bool
) -> Iterator[Any]:
    """Yield the rows with their answers as Arrow tables, in their order; ``as_text`` makes text of every column."""
    reading, joining = backbone.connection.cursor(), backbone.connection.cursor()
    for each in (reading, joining):
        each.execute(QUIETLY)
    # What no column tells is the same for every row.
    keys = [each for each, expression in telling.items() if '"' in expression]
    told = ", ".join(f"{telling[each]} AS {quoted(ASIDE + each)}" for each in keys)
    kept = ", ".join(f"{quoted(each)}{'::VARCHAR' if as_text else ''} AS {quoted(each)}" for each in sheet.columns)
    joining.execute(
        f"CREATE TABLE told AS SELECT {', '.join(f'n.{quoted(each)}' for each in keys)}, {_harmless()} "
        "FROM names n JOIN answers a USING (id)"
    )
    same = " AND ".join(f"t.{quoted(each)} = r.{quoted(ASIDE + each)}" for each in keys)
    new = ", ".join(f"t.{each}" for each in ANSWERED)
    done = 0
    for batch in reading.sql(f"SELECT {kept}, {told} FROM {source_of(sheet)}").to_arrow_reader(ROWS):
        joining.register("portion", _numbered(batch, keys))
        answers = joining.sql(
            f"SELECT {new} FROM portion r LEFT JOIN told t ON {same} ORDER BY r.{quoted(ASIDE)}"
        ).to_arrow_table()
        joining.unregister("portion")
        yield _side_by_side(batch.select(list(sheet.columns)), answers)
        done += batch.num_rows
        progress("rows", done, max(sheet.rows, done))


def _harmless() -> str:
    """Return the SQL of the answer's columns, none of which begins as what a spreadsheet would run as a formula."""
    one = ", ".join(literal(each) for each in OF_ONE_TAXON)
    for_one = {each: f"CASE WHEN a.outcome IN ({one}) THEN a.{each} END" for each in ("accepted_id", "accepted_name")}
    told = {each: for_one.get(each, f"a.{each}") for each in ANSWERED}
    texts = {each for each, type_ in zip(ANSWERED, TYPES, strict=True) if type_ == "VARCHAR"}
    return ", ".join(
        f"regexp_replace({said}, {literal(f'({FORMULA})')}, {literal(APOSTROPHE)}) AS {each}"
        if each in texts
        else f"{said} AS {each}"
        for each, said in told.items()
    )


def _numbered(batch: Any, keys: list[str]) -> Any:
    """Return what is told of the names of some rows, with the numbers of the rows."""
    import pyarrow as pa  # type: ignore[import-untyped]

    columns = {ASIDE + each: batch.column(ASIDE + each) for each in keys}
    return pa.table({**columns, ASIDE: pa.array(range(batch.num_rows), pa.int32())})


def _side_by_side(rows: Any, answers: Any) -> Any:
    """Return the columns of two tables of the same rows as one table."""
    import pyarrow as pa

    table = pa.Table.from_batches([rows])
    for name in answers.column_names:
        table = table.append_column(answers.field(name), answers.column(name))
    return table


def _counted(connection: Any) -> Counted:
    rows: dict[str, int] = {}
    names: dict[str, int] = {}
    for outcome, count, total in connection.execute(
        "SELECT a.outcome, count(*), sum(n.rows) FROM answers a JOIN names n USING (id) GROUP BY 1 ORDER BY 3 DESC, 1"
    ).fetchall():
        names[outcome], rows[outcome] = int(count), int(total)
    return Counted(rows, names)
