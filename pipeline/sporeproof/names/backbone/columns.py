"""What each kind of download calls its columns: every kind becomes the same table.

Columns that come out, all text: key, parent, accepted (the key of the accepted usage, of a synonym only),
canonical (no author), authorship, rank, status, and the names of higher taxa where they stand beside a name.
Sources: GBIF checklist export (`simple.txt`), Darwin Core terms, Catalogue of Life Data Package 1.2.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sporeproof.names.matching.ranks import WRITTEN
from sporeproof.names.matching.usage import (
    ACCEPTED,
    AMBIGUOUS_SYNONYM,
    MISAPPLIED,
    PROVISIONALLY_ACCEPTED,
    SYNONYM,
)

if TYPE_CHECKING:
    import polars as pl

    from sporeproof.names.download.opening import Sheet

FLAT = ("kingdom", "phylum", "class", "order", "family", "genus")
NAMES = ("key", "parent", "accepted", "canonical", "authorship", "rank", "status")
# Version 1 of the service and other lists write a status otherwise.
STATUS = {
    "DOUBTFUL": PROVISIONALLY_ACCEPTED, "PROPARTE_SYNONYM": AMBIGUOUS_SYNONYM, "PRO_PARTE_SYNONYM": AMBIGUOUS_SYNONYM,
    "HETEROTYPIC_SYNONYM": SYNONYM, "HOMOTYPIC_SYNONYM": SYNONYM, "OBJECTIVE_SYNONYM": SYNONYM,
    "SUBJECTIVE_SYNONYM": SYNONYM, "INVALID": SYNONYM, "VALID": ACCEPTED, "MISAPPLIED_NAME": MISAPPLIED,
}  # fmt: skip
NOT_ACCEPTED = (SYNONYM, AMBIGUOUS_SYNONYM, MISAPPLIED)
WORDS = ("genericName", "specificEpithet", "infraspecificEpithet")
# How a name without author shows its rank, where no column has the name alone.
RANK_MARKS = "subsp|ssp|subspecies|var|varietas|subvar|f|fo|forma|subf|subforma"
MARKED = rf"^(\S+ \S+) (?:{RANK_MARKS})\.? (\S+)$"
NEEDED = {"dwca": ("scientificName",), "coldp": ("ID", "parentID", "status", "scientificName")}
# A name with its authors behind it, and what makes it unclear where they begin: a subgenus, an author with a particle,
# authors in the middle.
MARKED_CITED = rf"^(\S+ [\p{{Ll}}-]+) (?:{RANK_MARKS})\.? ([\p{{Ll}}-]+)"
CITED = r"^(\p{Lu}[\p{Ll}-]+(?: [\p{Ll}-]{2,}){0,2}) (\(?\p{Lu}.*)$"
PARTICLES = "de|del|der|des|di|du|la|le|van|von|zu|ex|et|in|fil|auct|sensu|non|nec"
UNCLEAR = rf"\(\p{{Lu}}[\p{{Ll}}-]+\) \p{{Ll}}| (?:{PARTICLES}|{RANK_MARKS})\b[. ]"


class ColumnsMissing(Exception):
    """A download lacks columns that no index can do without; the message names them."""


def common(sheet: Sheet) -> pl.DataFrame:
    """Return a download as the common columns; raises :class:`ColumnsMissing`."""
    there = {each.lower(): each for each in sheet.columns}
    missing = [each for each in NEEDED.get(sheet.kind, ()) if each.lower() not in there]
    if missing:
        raise ColumnsMissing(", ".join(missing))
    read = _Columns(there, dict(sheet.defaults))
    picked = {"gbif-simple": _simple, "dwca": _darwin_core, "coldp": _coldp}[sheet.kind](read)
    table = _scanned(sheet).select(**picked).collect(engine="streaming")
    if sheet.escaped:
        table = table.with_columns(unescaped(table[each]) for each in ("canonical", "authorship"))
    table = table.with_columns(constants(table["rank"], WRITTEN), constants(table["status"], STATUS))
    return _by_status(table) if sheet.kind == "coldp" else _without_contradiction(table)


def _by_status(table: pl.DataFrame) -> pl.DataFrame:
    """Tell apart what one column holds: of a synonym its accepted usage, of others their parent."""
    import polars as pl

    synonym = pl.col("status").cast(pl.String).is_in(NOT_ACCEPTED)
    return table.with_columns(pl.when(~synonym).then("parent"), pl.when(synonym).then("parent").alias("accepted"))


def _without_contradiction(table: pl.DataFrame) -> pl.DataFrame:
    """Take the status of what is called accepted and yet leads to another usage as not told: it settles nothing."""
    import polars as pl

    torn = (table["status"] == ACCEPTED) & table["accepted"].is_not_null()
    if not torn.any():
        return table
    status = pl.when(torn).then(pl.lit("")).otherwise(pl.col("status").cast(pl.String))
    return table.with_columns(status.cast(pl.Categorical).alias("status"))


def _scanned(sheet: Sheet) -> pl.LazyFrame:
    import polars as pl

    return pl.scan_csv(
        sheet.path,
        separator=sheet.delimiter,
        quote_char=sheet.quote or None,
        has_header=False,
        skip_rows=int(sheet.has_header),
        schema=dict.fromkeys(sheet.columns, pl.String),
        null_values=[sheet.null] if sheet.null else None,
        infer_schema=False,
    )


class _Columns:
    """The columns of one download, asked for by their terms whatever the case; one that is not there is empty."""

    def __init__(self, there: dict[str, str], defaults: dict[str, str]) -> None:
        self.there, self.defaults = there, defaults

    def __call__(self, name: str) -> pl.Expr:
        import polars as pl

        column, default = self.there.get(name.lower()), pl.lit(self.defaults.get(name), dtype=pl.String)
        if column is None:
            return default
        found = pl.col(column).str.strip_chars()
        return pl.when(found != "").then(found).otherwise(default)

    def has(self, name: str) -> bool:
        """Tell whether there is a column of that term, or a value for all rows."""
        return name.lower() in self.there or name in self.defaults


def _simple(_: _Columns) -> dict[str, pl.Expr]:
    """Text of Postgres COPY: what is missing is marked, so that cells need no looking at."""
    import polars as pl

    synonym = pl.col("is_synonym") == "t"
    # What is called accepted and is not marked as such settles nothing, not even where it leads nowhere.
    called = (
        pl.col("status").str.to_uppercase().is_in([ACCEPTED, *(each for each in STATUS if STATUS[each] == ACCEPTED)])
    )
    torn = called & (pl.col("is_synonym") != "f").fill_null(value=True)
    first, second = (
        pl.when(pl.col(authors).is_not_null())
        .then(pl.concat_str(authors, year, separator=", ", ignore_nulls=True))
        for authors, year in (("bracket_authorship", "bracket_year"), ("authorship", "year"))
    )  # fmt: skip
    return {
        "key": pl.col("id"),
        "parent": pl.when(~synonym).then("parent_key"),
        "accepted": pl.when(synonym).then("parent_key"),
        "canonical": pl.coalesce("canonical_name", "scientific_name"),
        "authorship": pl.concat_str(pl.lit("(") + first + ")", second, separator=" ", ignore_nulls=True),
        "rank": pl.col("rank"),
        "status": pl.when(torn)
        .then(pl.lit(""))
        .otherwise(pl.coalesce("status", pl.when(synonym).then(pl.lit(SYNONYM)))),
    }


def _darwin_core(column: _Columns) -> dict[str, pl.Expr]:
    import polars as pl

    authorship, whole = column("scientificNameAuthorship"), column("scientificName")
    bare = pl.when(whole.str.ends_with(authorship)).then(whole.str.strip_suffix(authorship).str.strip_chars())
    key = pl.coalesce(column("taxonID"), column("id"))
    accepted = pl.when(column("acceptedNameUsageID") != key).then(column("acceptedNameUsageID"))
    # A column of states that is left empty tells nothing; without one, all that is no synonym is accepted.
    usual = pl.lit(None if column.has("taxonomicStatus") else ACCEPTED, dtype=pl.String)
    plain = whole.str.replace(MARKED_CITED, "$1 $2")
    # Where no column tells the authors apart, they are what begins with a capital behind the name.
    is_cited = authorship.is_null() & ~plain.str.contains(UNCLEAR)
    cited = [pl.when(is_cited).then(plain.str.extract(CITED, part)) for part in (1, 2)]
    names = [_words(column, *WORDS), bare, cited[0], whole]
    if not column.has("canonicalName"):
        names = [each.str.replace(MARKED, "$1 $2") for each in names]
    return {
        "key": key,
        "parent": pl.when(accepted.is_null()).then(column("parentNameUsageID")),
        "accepted": accepted,
        "canonical": pl.coalesce(column("canonicalName"), *names),
        "authorship": pl.coalesce(authorship, cited[1], pl.lit("")),
        "rank": column("taxonRank"),
        "status": pl.coalesce(
            column("taxonomicStatus"), pl.when(accepted.is_null()).then(usual).otherwise(pl.lit(SYNONYM))
        ),
        **{each: column(each) for each in FLAT},
    }


def _coldp(column: _Columns) -> dict[str, pl.Expr]:
    import polars as pl

    words = _words(column, *WORDS)
    whole = column("scientificName")
    whole = whole if column.has("specificEpithet") else whole.str.replace(MARKED, "$1 $2")
    return {
        "key": column("ID"),
        "parent": column("parentID"),
        "accepted": pl.lit(None, dtype=pl.String),
        "canonical": pl.coalesce(words, column("uninomial"), whole),
        "authorship": column("authorship").fill_null(""),
        "rank": column("rank"),
        "status": column("status"),
        **{each: column(each) for each in FLAT},
    }


def _words(column: _Columns, genus: str, epithet: str, below: str) -> pl.Expr:
    """Return genus and epithets as one name, where there is an epithet."""
    import polars as pl

    whole = pl.concat_str(column(genus), column(epithet), column(below), separator=" ", ignore_nulls=True)
    return pl.when(column(genus).is_not_null() & column(epithet).is_not_null()).then(whole)


def constants(found: pl.Series, words: dict[str, str]) -> pl.Series:
    """Return words of a list as the service's constants, empty where none stands; each word is looked at once."""
    import polars as pl

    there = sorted(found.unique().drop_nulls())  # in no other order: the same download gives the same bytes
    plain = {each: each.strip(" .").upper().replace(" ", "_").replace("-", "_") for each in there}
    known = {said.replace(" ", "_"): meant for said, meant in words.items()}
    meant = {each: known.get(constant, constant) for each, constant in plain.items()}
    return found.fill_null("").replace_strict({**meant, "": ""}, return_dtype=pl.Categorical)


def unescaped(found: pl.Series) -> pl.Series:
    """Return text of Postgres COPY as it was meant; a tab or line end within a name is a blank.

    A zero byte, which no download has, keeps a backslash that is meant as one from being read with what follows.
    """
    marked = found.str.contains("\\", literal=True).fill_null(value=False)
    if not marked.any():
        return found
    rows = marked.arg_true()
    text = found.gather(rows).str.replace_all("\\\\", "\0", literal=True).str.replace_all(r"\\[bfnrtv]", " ")
    return found.scatter(rows, text.str.replace_all(r"\\(.)", "$1").str.replace_all("\0", "\\", literal=True))
