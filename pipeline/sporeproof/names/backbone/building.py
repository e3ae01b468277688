"""Builds an index from a download: the usages in the order of their normal forms, and the higher taxa.

What has to be known of a usage to judge it stands in its row: whom it leads to, the higher taxon and the species it
lies in, and whether it is alone with its normal form, so that a plain look-up settles it. Whom a row leads to is
found once, as the number of another row; from there on walking up is arithmetic.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.names.backbone.columns import FLAT, NOT_ACCEPTED, common
from sporeproof.names.backbone.stems import letters_of, stems
from sporeproof.names.matching.alike import LETTERS, ONCE, letters
from sporeproof.names.matching.normal_form import normal_form
from sporeproof.names.matching.ranks import NO_PLACE, ORDINAL, RANKS, is_below_genus

if TYPE_CHECKING:
    import numpy as np
    import polars as pl

    from sporeproof.names.download.opening import Sheet

Rows = Any  # an array of row numbers, -1 where there is none

USAGES, HIGHER, FIRSTS = "usages", "higher", "firsts"
USAGE = ("key", "canonical", "authorship", "rank", "status")
# What a name is made of whose normal form the stems of its words give.
REGULAR = "^[A-Z][a-z]{2,}( [a-z]{2,}){0,2}$"
# So many rows are worked on and written at once, in so many threads, in groups of so many.
PART, AT_ONCE, GROUP = 1_000_000, 2, 122_880
# Nothing lies deeper below a root than this; what walks longer walks in a circle.
DEEPEST = 120
Progress = Callable[[str, int, int], None]


class Unfit(Exception):
    """A download cannot be indexed; the message says why."""


def build(sheet: Sheet, folder: Path, progress: Progress) -> dict[str, int]:
    """Write the tables of an index into a folder; return the number of rows of each.

    Raises :class:`Unfit` where keys are missing or stand twice.
    """
    progress("reading", 0, 4)
    table = common(sheet)
    if table.height != sheet.rows:
        raise Unfit(f"{sheet.rows} rows were counted in it and {table.height} read")
    _demand_keys(table)
    progress("places", 1, 4)
    above = _rows_of(table)
    table, higher = _placed(table, above)
    progress("normal forms", 2, 4)
    table = table.with_columns(_in_parts(_normal_forms, table["canonical"]))
    progress("sorting", 3, 4)
    _write_usages(table, folder)
    _firsts(table).write_parquet(folder / f"{FIRSTS}.parquet")
    higher.with_row_index("number").write_parquet(folder / f"{HIGHER}.parquet", compression="zstd")
    progress("sorting", 4, 4)
    return {USAGES: table.height, HIGHER: higher.height}


def _demand_keys(table: pl.DataFrame) -> None:
    missing = table["key"].null_count() + table["canonical"].null_count()
    if missing:
        raise Unfit(f"{missing} of its {table.height} rows have no key or no name")
    hashes = table["key"].hash()
    if hashes.n_unique() == table.height:
        return
    alike = table["key"].filter(hashes.is_duplicated())
    if twice := alike.filter(alike.is_duplicated()).to_list():
        raise Unfit(f"the key {twice[0]} stands in it more than once")


def _rows_of(table: pl.DataFrame) -> Rows:
    """Return the row of what each row leads to: of a synonym its accepted usage, of others their parent."""
    import polars as pl

    keys = table.select(pl.col("key").hash().alias("hash")).with_row_index("row")
    leads = pl.coalesce("accepted", "parent")
    wanted = table.select(leads.hash().alias("hash"), leads.alias("key"))
    row = wanted.select("hash").join(keys, on="hash", how="left", maintain_order="left")["row"]
    # Two keys may share their hash, so the key itself decides; what leads nowhere compares with nothing.
    is_it = table["key"].gather(row) == wanted["key"]
    return pl.select(pl.when(is_it).then(row).cast(pl.Int32).fill_null(-1)).to_series().to_numpy().copy()


def _placed(table: pl.DataFrame, above: Rows) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Return the usages with their places, and the higher taxa in the order of their numbers."""
    import numpy as np
    import polars as pl

    synonym = table["accepted"].is_not_null().to_numpy()
    accepted = ~synonym & ~table["status"].cast(pl.String).is_in(NOT_ACCEPTED).to_numpy()
    monomial = ~table["canonical"].str.contains(" ", literal=True).to_numpy()
    ranks = table["rank"].cast(pl.String)
    below = ranks.is_in([each for each in RANKS if is_below_genus(each)]).to_numpy()
    clear = ranks.is_in([each for each in RANKS if each not in NO_PLACE]).to_numpy()
    is_higher = accepted & ~below & (clear | monomial)
    is_species = accepted & (ranks == "SPECIES").to_numpy()
    home, species = _walked(above, is_higher), _walked(above, is_species | is_higher)
    number = np.cumsum(is_higher) - 1
    inside = _inside(above, is_higher, home, number)
    places = np.where(home >= 0, number[home], -1)
    own = table.select("key", pl.col("canonical").alias("name"), "rank").filter(pl.Series(is_higher))
    own = own.with_columns(pl.col("rank").cast(pl.String))
    higher = _at_main_ranks(*_by_words(table, own, inside, places, np.flatnonzero(is_higher)))
    return table.select(*USAGE).with_columns(
        pl.Series("home", places, dtype=pl.Int32),
        higher["kingdom"].gather(_numbers(places)).cast(pl.Categorical).alias("kingdom"),
        _numbers(np.where((species >= 0) & is_species[species], species, -1)).alias("species"),
        _numbers(np.where(synonym, above, -1)).alias("leads"),
    ), higher


def _numbers(rows: Rows) -> pl.Series:
    """Return row numbers to gather by, null where a row is -1."""
    import polars as pl

    found = pl.Series("row", rows)
    return pl.select(pl.when(found >= 0).then(found).cast(pl.UInt32)).to_series()


def _walked(above: Rows, stops: np.ndarray) -> Rows:
    """Return the first row on the way up from each row, itself counted, where ``stops`` holds; -1 where none does."""
    import numpy as np

    at = np.arange(len(above), dtype=np.int32)
    moving = np.flatnonzero(~stops)
    for _ in range(DEEPEST):
        if not len(moving):
            break
        at[moving] = above[at[moving]]
        moving = moving[(at[moving] >= 0) & ~stops[at[moving]]]
    at[moving] = -1
    return at


def _inside(above: Rows, is_higher: np.ndarray, home: Rows, number: np.ndarray) -> np.ndarray:
    """Return the number of the higher taxon that each higher taxon lies in, -1 where there is none."""
    import numpy as np

    own = np.flatnonzero(is_higher)
    up = above[own]
    # A parent may be written as something that is no higher taxon and lies in one, or as itself.
    at = np.where(up >= 0, home[up], -1)
    return np.where((at >= 0) & (at != own), number[at], -1)


def _by_words(
    table: pl.DataFrame, own: pl.DataFrame, inside: np.ndarray, places: np.ndarray, rows: np.ndarray
) -> tuple[pl.DataFrame, np.ndarray]:
    """Place what leads nowhere by the names of higher taxa beside it, where the download has such names.

    ``rows`` are those of the higher taxa, ``own``. Returns these with what the names added, and what each lies in;
    fills in ``places``.
    """
    import numpy as np
    import polars as pl

    if not set(FLAT) <= set(table.columns):
        return own, inside
    roots, lost = rows[inside < 0], np.flatnonzero(places < 0)
    flat = table[np.concatenate([roots, lost])].select(FLAT)
    # Of a higher taxon only the names above it count, of all others each name.
    lowest = pl.concat([own["rank"].filter(pl.Series(inside < 0)), pl.repeat("SPECIES", len(lost), eager=True)])
    ordinal = lowest.replace_strict(ORDINAL, default=-1, return_dtype=pl.Int32)
    flat = flat.select(pl.when(ordinal > ORDINAL[each.upper()]).then(each).alias(each) for each in FLAT)
    made, leads = _chained(flat, own.height)
    inside[inside < 0] = leads[: len(roots)]
    places[lost] = leads[len(roots) :]
    return pl.concat([own, made.drop("inside")]), np.concatenate([inside, made["inside"].to_numpy()])


def _chained(flat: pl.DataFrame, first: int) -> tuple[pl.DataFrame, np.ndarray]:
    """Return the higher taxa that rows of names speak of, numbered from ``first``, and the lowest of each row."""
    import polars as pl

    lines = flat.unique(maintain_order=True).with_columns(inside=pl.lit(-1, dtype=pl.Int64))
    made = []
    for at, rank in enumerate(FLAT):
        line = FLAT[: at + 1]
        new = lines.filter(pl.col(rank).is_not_null()).unique(line, maintain_order=True)
        new = new.select(*line, "inside").with_row_index("number", first)
        first += new.height
        made.append(new.select(key=pl.lit(""), name=rank, rank=pl.lit(rank.upper()), inside="inside"))
        found = lines.join(new.drop("inside"), on=line, how="left", nulls_equal=True, maintain_order="left")["number"]
        lines = lines.with_columns(inside=pl.coalesce(found.cast(pl.Int64), "inside"))
    found = flat.join(lines, on=FLAT, how="left", nulls_equal=True, maintain_order="left")["inside"]
    return pl.concat(made), found.to_numpy()


def _at_main_ranks(higher: pl.DataFrame, inside: np.ndarray) -> pl.DataFrame:
    """Add what each higher taxon lies in and the names at the main ranks; the lowest name of a rank counts.

    What leads round in a circle lies in nothing.
    """
    import numpy as np
    import polars as pl

    ranks = higher["rank"].to_numpy()
    level = np.full(higher.height, -1)
    for order, each in enumerate(FLAT):
        level[ranks == each.upper()] = order
    found = np.full((len(FLAT), higher.height), -1)
    who: Rows = np.arange(higher.height)
    at: Rows = who
    for _ in range(DEEPEST):
        on, named = level[at], level[at] >= 0
        free = found[on, who] < 0
        found[on[named & free], who[named & free]] = at[named & free]
        who, at = who[inside[at] >= 0], inside[at][inside[at] >= 0]
        if not len(who):
            break
    inside[who], found[:, who] = -1, np.where(level[who] == np.arange(len(FLAT))[:, None], who, -1)
    return higher.with_columns(
        pl.Series("inside", inside, dtype=pl.Int32),
        *(higher["name"].gather(_numbers(row)).alias(each) for each, row in zip(FLAT, found, strict=True)),
    )


def _in_parts(work: Callable[[pl.Series], pl.DataFrame], column: pl.Series) -> pl.DataFrame:
    """Return what a column comes to, its parts worked on side by side."""
    import polars as pl

    parts = [column.slice(start, PART) for start in range(0, len(column), PART)]
    with ThreadPoolExecutor(AT_ONCE) as pool:
        return pl.concat(pool.map(work, parts or [column]), rechunk=True)


def _normal_forms(canonical: pl.Series) -> pl.DataFrame:
    """Return the normal form of each name in its parts, the first word and the rest, and the letters of the rest."""
    import polars as pl

    regular = canonical.str.contains(REGULAR)
    words = canonical.str.splitn(" ", 3).struct.unnest()
    first = words["field_0"].str.to_lowercase()
    # Stems of the others are not made of a to z alone.
    one, two = (_stemmed(words[f"field_{at}"].set(~regular, None)) for at in (1, 2))
    rest = pl.select(pl.concat_str(one["stem"], two["stem"], separator=" ", ignore_nulls=True)).to_series()
    marks = _together(one["letters"], two["letters"])
    rows = (~regular).arg_true()
    made = [normal_form(name).partition(" ")[::2] for name in canonical.gather(rows)]
    odd = pl.DataFrame(made, schema={"first": pl.String, "rest": pl.String}, orient="row")
    odd_marks = pl.Series([letters(each) for each in odd["rest"]], dtype=pl.UInt64)
    return pl.DataFrame(
        {
            "first": first.scatter(rows, odd["first"]),
            "rest": rest.scatter(rows, odd["rest"]),
            "letters": marks.scatter(rows, odd_marks),
        }
    )


def _stemmed(words: pl.Series) -> pl.DataFrame:
    """Return the stems of words and their letters; each word is looked at once."""
    import polars as pl

    known = words.drop_nulls().unique()
    made = pl.DataFrame({"word": known, "stem": stems(known)})
    made = made.with_columns(letters=pl.Series(letters_of(made["stem"]), dtype=pl.UInt64))
    return words.to_frame("word").join(made, on="word", how="left", maintain_order="left").drop("word")


def _together(one: pl.Series, two: pl.Series) -> pl.Series:
    """Return the letters of two words as those of one text, see :func:`letters`."""
    one, two = one.fill_null(0), two.fill_null(0)
    return one | two | ((one & two & ONCE) * (1 << LETTERS))


def _firsts(table: pl.DataFrame) -> pl.DataFrame:
    """Return the first words of names that have more than one, each as it is and with each of its letters left out.

    Two words are one edit apart only if they share one of these, so near words are found by a join.
    """
    import polars as pl

    first = table.filter(pl.col("rest") != "").select(pl.col("first").unique().sort())
    longest = int(first["first"].str.len_chars().max() or 0)  # type: ignore[arg-type]
    without = [
        first.filter(pl.col("first").str.len_chars() > at).select(
            "first", variant=pl.col("first").str.slice(0, at) + pl.col("first").str.slice(at + 1)
        )
        for at in range(longest)
    ]
    return pl.concat([first.with_columns(variant="first"), *without])


def _write_usages(table: pl.DataFrame, folder: Path) -> None:
    """Write the usages by their normal forms, part by part, each with what it leads to; one that is alone is marked."""
    import numpy as np
    import polars as pl

    order = table.select(pl.concat_str("first", "rest", separator=" ").arg_sort()).to_series()
    for start in range(0, table.width, AT_ONCE):  # not all columns at once: they would be held twice
        names = table.columns[start : start + AT_ONCE]
        table = table.with_columns(table.select(pl.col(names).gather(order)))
    now_at = np.empty(table.height, dtype=np.uint32)
    now_at[order.to_numpy()] = np.arange(table.height, dtype=np.uint32)
    moved = pl.Series(now_at)
    same = pl.col("first").eq(pl.col("first").shift(1)) & pl.col("rest").eq(pl.col("rest").shift(1))
    before = table.select(same.fill_null(value=False)).to_series()
    table = table.with_columns(alone=~before & ~before.shift(-1).fill_null(value=False))

    def write(start: int) -> None:
        part = table.slice(start, PART)
        leads = moved.gather(part["leads"])
        part.with_columns(
            table["key"].gather(moved.gather(part["species"])).alias("species"),
            table["key"].gather(leads).alias("accepted"),
            *(table[each].gather(leads).alias(f"accepted_{each}") for each in USAGE[1:]),
        ).drop("leads").write_parquet(
            folder / f"{USAGES}-{start // PART:04}.parquet",
            compression="zstd",
            compression_level=1,
            row_group_size=GROUP,
        )

    with ThreadPoolExecutor(AT_ONCE) as pool:
        list(pool.map(write, range(0, table.height, PART)))
