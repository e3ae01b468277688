"""Builds an index from a download: the usages in the order of their normal forms, and the higher taxa.

What has to be known of a usage to judge it stands in its row: whom it leads to, the higher taxon and the species it
lies in, and whether it is alone with its normal form, so that a plain look-up settles it. Whom a row leads to is
found once, as the number of another row; from there on walking up is arithmetic.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.names.backbone.columns import FLAT, NOT_ACCEPTED, common
from sporeproof.names.matching.alike import LETTERS, ONCE, A, letters
from sporeproof.names.matching.normal_form import normal_form, stem
from sporeproof.names.matching.ranks import NO_PLACE, RANKS, is_below_genus

if TYPE_CHECKING:
    import numpy as np
    import polars as pl

    from sporeproof.names.opening import Sheet

Rows = Any  # an array of row numbers, -1 where there is none

USAGES, HIGHER = "usages", "higher"
USAGE = ("key", "canonical", "authorship", "rank", "status")
# What a name is made of whose normal form the stems of its words give.
REGULAR = "^[A-Z][a-z]{2,}( [a-z]{2,}){0,2}$"
# So many rows are written at once.
PART = 1_000_000
STEMS = 200_000
# Nothing lies deeper below a root than this; what walks longer walks in a circle.
DEEPEST = 120
Progress = Callable[[str, int, int], None]


class Unfit(Exception):
    """A download cannot be indexed; the message says why."""


def build(sheet: Sheet, folder: Path, progress: Progress) -> dict[str, int]:
    """Write the two tables of an index into a folder; return the number of rows of each.

    Raises :class:`Unfit` where keys are missing or stand twice.
    """
    progress("reading", 0, 4)
    table = common(sheet)
    _demand_keys(table)
    progress("places", 1, 4)
    above = _rows_of(table)
    table, higher = _placed(table, above)
    progress("normal forms", 2, 4)
    table = table.with_columns(_normal_forms(table["canonical"]))
    progress("sorting", 3, 4)
    _write_usages(table, folder)
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
    wanted = table.select(leads.hash().alias("hash"), leads.is_not_null().alias("some"))
    found = wanted.join(keys, on="hash", how="left", maintain_order="left")
    row = pl.when(pl.col("some")).then("row").cast(pl.Int32).fill_null(-1)
    return found.select(row.alias("row"))["row"].to_numpy().copy()


def _placed(table: pl.DataFrame, above: Rows) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Return the usages with their places, and the higher taxa in the order of their numbers."""
    import numpy as np
    import polars as pl

    accepted = ~table["status"].cast(pl.String).is_in(NOT_ACCEPTED).to_numpy()
    monomial = ~table["canonical"].str.contains(" ", literal=True).to_numpy()
    ranks = table["rank"].cast(pl.String)
    below = ranks.is_in([each for each in RANKS if is_below_genus(each)]).to_numpy()
    vague = ranks.is_in(["", *NO_PLACE]).to_numpy()
    is_higher = accepted & ~below & (~vague | monomial)
    is_species = accepted & (ranks == "SPECIES").to_numpy()
    home, species = _walked(above, is_higher), _walked(above, is_species | is_higher)
    number = np.cumsum(is_higher) - 1
    higher = _higher(table, above, is_higher, number)
    higher, places = _by_words(table, higher, np.where(home >= 0, number[home], -1))
    return table.select(*USAGE).with_columns(
        pl.Series("home", places, dtype=pl.Int32),
        higher["kingdom"].gather(_numbers(places)).cast(pl.Categorical).alias("kingdom"),
        _numbers(np.where((species >= 0) & is_species[species], species, -1)).alias("species"),
        _numbers(np.where(accepted, -1, above)).alias("leads"),
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


def _higher(table: pl.DataFrame, above: Rows, is_higher: np.ndarray, number: np.ndarray) -> pl.DataFrame:
    """Return the higher taxa: key, name, rank, the number of what each lies in, and the names at the main ranks."""
    import numpy as np
    import polars as pl

    own = np.flatnonzero(is_higher)
    there = table[own].select("key", pl.col("canonical").alias("name"), pl.col("rank").cast(pl.String))
    up = above[own]
    # The parent of a higher taxon may be written as something that is none, or as itself.
    inside = np.where((up >= 0) & is_higher[up] & (up != own), number[up], -1)
    return there.with_columns(pl.Series("inside", inside, dtype=pl.Int32), *_at_main_ranks(there, inside))


def _at_main_ranks(there: pl.DataFrame, inside: np.ndarray) -> list[pl.Series]:
    """Return the names at the main ranks, found by walking up from each higher taxon; the lowest of a rank counts."""
    import numpy as np

    count = there.height
    rank = there["rank"].to_numpy()
    found = {each: np.full(count, -1) for each in FLAT}
    at = np.arange(count)
    for _ in range(DEEPEST):
        for each, column in found.items():
            new = (at >= 0) & (column < 0) & (rank[at] == each.upper())
            column[new] = at[new]
        at = np.where(at >= 0, inside[at], -1)
        if (at < 0).all():
            break
    return [there["name"].gather(_numbers(column)).alias(each) for each, column in found.items()]


def _by_words(table: pl.DataFrame, higher: pl.DataFrame, places: Rows) -> tuple[pl.DataFrame, Rows]:
    """Place usages that lead nowhere by the names of higher taxa beside them, where the download has such names."""
    import polars as pl

    if "kingdom" not in table.columns or not (lost := places < 0).any():
        return higher, places
    flat = table.select(FLAT).with_row_index("row").filter(pl.Series(lost) & ~pl.all_horizontal(pl.col(FLAT).is_null()))
    groups = flat.group_by(FLAT, maintain_order=True).agg("row").with_columns(
        key=pl.lit(""), name=pl.coalesce(reversed(FLAT)), inside=pl.lit(-1, dtype=pl.Int32),
        rank=pl.coalesce(*(pl.when(pl.col(each).is_not_null()).then(pl.lit(each.upper())) for each in reversed(FLAT))),
    )  # fmt: skip
    places = places.copy()
    for at, rows in enumerate(groups["row"]):
        places[rows.to_numpy()] = higher.height + at
    return pl.concat([higher, groups.select(higher.columns)]), places


def _normal_forms(canonical: pl.Series) -> list[pl.Series]:
    """Return the normal form of each name in its parts, the first word and the rest, and the letters of the rest."""
    import polars as pl

    regular = canonical.str.contains(REGULAR)
    words = canonical.str.splitn(" ", 3).struct.unnest()
    first = words["field_0"].str.to_lowercase()
    one, two = (_stemmed(words[f"field_{at}"]) for at in (1, 2))
    rest = pl.select(pl.concat_str(one["stem"], two["stem"], separator=" ", ignore_nulls=True)).to_series()
    marks = _together(one["letters"], two["letters"])
    rows = (~regular).arg_true()
    made = [normal_form(name).partition(" ")[::2] for name in canonical.gather(rows)]
    odd = pl.DataFrame(made, schema={"first": pl.String, "rest": pl.String}, orient="row")
    odd_marks = pl.Series([letters(each) for each in odd["rest"]], dtype=pl.UInt64)
    return [
        first.scatter(rows, odd["first"]).alias("first"),
        rest.scatter(rows, odd["rest"]).alias("rest"),
        marks.scatter(rows, odd_marks).alias("letters"),
    ]


def _stemmed(words: pl.Series) -> pl.DataFrame:
    """Return the stems of words and their letters; each word is looked at once."""
    import polars as pl

    known = words.drop_nulls().unique()
    made = pl.DataFrame({"word": known, "stem": pl.Series([stem(word) for word in known], dtype=pl.String)})
    made = made.with_columns(letters=pl.Series(_letters(made["stem"]), dtype=pl.UInt64))
    return words.to_frame("word").join(made, on="word", how="left", maintain_order="left").drop("word")


def _letters(stems: pl.Series) -> np.ndarray:
    """Return what :func:`letters` returns of each stem; stems are made of the letters a to z."""
    import numpy as np

    found = np.zeros(len(stems), dtype=np.uint64)
    weights = np.left_shift(np.uint64(1), np.arange(LETTERS, dtype=np.uint64))
    for start in range(0, len(stems), STEMS):
        part = stems.slice(start, STEMS)
        signs = np.frombuffer("".join(part).encode(), dtype=np.uint8) - A
        rows = np.repeat(np.arange(len(part)), part.str.len_bytes().to_numpy())
        counts = np.bincount(rows * LETTERS + signs, minlength=len(part) * LETTERS).reshape(-1, LETTERS)
        once, twice = ((counts > least).astype(np.uint64) @ weights for least in (0, 1))
        found[start : start + len(part)] = once | (twice << np.uint64(LETTERS))
    return found


def _together(one: pl.Series, two: pl.Series) -> pl.Series:
    """Return the letters of two words as those of one text, see :func:`letters`."""
    one, two = one.fill_null(0), two.fill_null(0)
    return one | two | ((one & two & ONCE) * (1 << LETTERS))


def _write_usages(table: pl.DataFrame, folder: Path) -> None:
    """Write the usages by their normal forms, part by part, each with what it leads to; one that is alone is marked."""
    import numpy as np
    import polars as pl

    order = table.select(pl.concat_str("first", "rest", separator=" ").arg_sort()).to_series()
    for name in table.columns:  # one after the other: all at once would be held twice
        table = table.with_columns(table[name].gather(order))
    now_at = np.empty(table.height, dtype=np.uint32)
    now_at[order.to_numpy()] = np.arange(table.height, dtype=np.uint32)
    moved = pl.Series(now_at)
    same = pl.col("first").eq(pl.col("first").shift(1)) & pl.col("rest").eq(pl.col("rest").shift(1))
    before = table.select(same.fill_null(value=False)).to_series()
    table = table.with_columns(alone=~before & ~before.shift(-1).fill_null(value=False))
    for number, start in enumerate(range(0, table.height, PART)):
        part = table.slice(start, PART)
        leads = moved.gather(part["leads"])
        part.with_columns(
            table["key"].gather(moved.gather(part["species"])).alias("species"),
            table["key"].gather(leads).alias("accepted"),
            *(table[each].gather(leads).alias(f"accepted_{each}") for each in USAGE[1:]),
        ).drop("leads").write_parquet(
            folder / f"{USAGES}-{number:04}.parquet", compression="zstd", compression_level=1, row_group_size=122_880
        )
