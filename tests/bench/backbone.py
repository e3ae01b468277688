"""An invented backbone of any size, with names that look like names: syllables, Latin endings, large and small genera.

Nothing in it is a real name or key. It is written as GBIF's `simple.txt`: Postgres COPY text of 30 columns.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
import polars as pl

ONSETS = [
    "b",
    "c",
    "d",
    "f",
    "g",
    "gl",
    "h",
    "l",
    "m",
    "n",
    "p",
    "pl",
    "ph",
    "r",
    "s",
    "st",
    "sc",
    "t",
    "tr",
    "th",
    "v",
]
NUCLEI = ["a", "e", "i", "o", "u", "ae", "ia", "y"]
CODAS = ["", "", "", "n", "r", "l", "s", "c", "x"]
# An epithet's endings for the three genders of a genus.
ENDINGS = [("us", "a", "um"), ("is", "is", "e"), ("ensis", "ensis", "ense"), ("oides",) * 3, ("i",) * 3, ("ae",) * 3,
           ("icola",) * 3, ("atus", "ata", "atum"), ("inus", "ina", "inum"), ("osus", "osa", "osum")]  # fmt: skip
GENUS_ENDINGS = ["us", "a", "um", "ella", "ina", "opsis", "myces", "ia"]
AUTHORS = ["Fict.", "Inv. & Fict.", "Imag.", "Imag. ex Fict.", "Nemo", "Inv. & Imag.", "B. Nemo", ""]
RANKS = ["kingdom", "phylum", "class", "order", "family", "genus", "species"]
LARGEST = [6, 40, 160, 700, 6000]
GENUS, SPECIES, VARIETY, SYNONYM = 5, 6, 7, 8
RANK_OF = ["KINGDOM", "PHYLUM", "CLASS", "ORDER", "FAMILY", "GENUS", "SPECIES", "VARIETY", "SPECIES"]


@dataclass(frozen=True)
class Tree:
    """The rows of a backbone: the level of each, the row above it, its genus, and the row at each rank above it."""

    level: np.ndarray
    up: np.ndarray
    genus: np.ndarray
    lineage: list[np.ndarray]
    monomials: int


def backbone(rows: int, seed: int = 1) -> pl.DataFrame:
    """Return the 30 columns of an invented backbone of ``rows`` rows as text; the root's keys are the lowest.

    Half of what lies below the genus are synonyms, one in twenty is infraspecific; in one row of ten the keys of
    the classification are missing, so that a reader has to walk up by the parents.
    """
    rng = np.random.default_rng(seed)
    tree = _tree(rows, rng)
    return _columns(tree, _names(tree, rng), rng)


def written(table: pl.DataFrame, path: Path) -> None:
    """Write it as Postgres COPY text: tabs, no header, no quotes, its own mark where nothing stands."""
    table.write_csv(path, include_header=False, separator="\t", quote_style="never", null_value="\\N")


def _tree(rows: int, rng: np.random.Generator) -> Tree:
    """A parent stands before what lies in it; few genera are very large, most are small."""
    sizes = [max(2, min(size, rows // 40)) for size in LARGEST]
    sizes.append(max(20, rows // 30))
    ends = np.cumsum([0, *sizes])
    below = rows - ends[-1]
    species, variety = ends[-1] + int(below * 0.45), ends[-1] + int(below * 0.5)
    starts = [*ends, species, variety, rows]
    level = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    up = np.full(rows, -1)
    for rank in range(1, GENUS + 1):
        up[ends[rank] : ends[rank + 1]] = rng.integers(ends[rank - 1], ends[rank], sizes[rank])
    genus = (ends[GENUS] + (sizes[GENUS] * rng.random(rows) ** 2.5)).astype(int)
    genus[: ends[-1]] = np.arange(ends[-1])
    up[ends[-1] : species] = genus[ends[-1] : species]
    up[species:] = rng.integers(ends[-1], species, rows - species)
    genus[species:variety] = up[up[species:variety]]
    lineage = [np.full(rows, -1) for _ in RANKS]
    for number, (start, end) in enumerate(pairwise(starts)):
        block = np.arange(start, end)
        for rank, column in enumerate(lineage):
            column[block] = block if rank == number else column[up[block]] if number else -1
    return Tree(level, up, genus, lineage, int(ends[-1]))


def invented(count: int, endings: list[str], rng: np.random.Generator) -> pl.Series:
    """Return invented words of two or three syllables and an ending, each once; one in ten is short."""
    found = pl.Series([], dtype=pl.String)
    while len(found) < count:
        more = max(1000, int(1.3 * (count - len(found))))
        long = pl.Series(rng.random(more) < 0.9)
        parts = [_pick(rng, part, more) for part in (ONSETS, NUCLEI, CODAS, ONSETS, NUCLEI, CODAS, ONSETS, endings)]
        middle = pl.concat_str([pl.lit(part) for part in parts[3:6]])
        made = pl.select(pl.concat_str(*parts[:3], pl.when(long).then(middle).otherwise(pl.lit("")), *parts[6:]))
        found = pl.concat([found, made.to_series()]).unique(maintain_order=True)
    return found.head(count)


def _pick(rng: np.random.Generator, values: list[str], count: int) -> pl.Series:
    return pl.Series(values).gather(rng.integers(0, len(values), count))


def _names(tree: Tree, rng: np.random.Generator) -> pl.DataFrame:
    """Return genus (or higher taxon), epithet and infraspecific epithet of each row; they agree in gender."""
    rows = len(tree.level)
    monomials = invented(tree.monomials, GENUS_ENDINGS, rng).str.to_titlecase()
    stems = invented(max(300, rows // 60), [""], rng)
    gender = rng.integers(0, 3, tree.monomials)[tree.genus]
    endings = pl.Series([each for row in ENDINGS for each in row])
    chosen = stems.gather(_chosen(tree.genus, len(stems), rng))
    epithet = chosen + endings.gather(rng.integers(0, len(ENDINGS), rows) * 3 + gender)
    above = epithet.gather(np.maximum(tree.up, 0))
    level = pl.Series("level", tree.level)
    return pl.select(
        genus=monomials.gather(tree.genus),
        epithet=pl.when(level == VARIETY).then(above).when(level > GENUS).then(epithet),
        infra=pl.when(level == VARIETY).then(epithet),
    ).with_columns(canonical=pl.concat_str("genus", "epithet", "infra", separator=" ", ignore_nulls=True))


def _chosen(genus: np.ndarray, stems: int, rng: np.random.Generator) -> np.ndarray:
    """Choose a stem for each row, few of them often; hardly ever one twice in a genus, as the Code has it."""
    chosen = (stems * rng.random(len(genus)) ** 2.2).astype(int)
    for _ in range(4):
        _, first = np.unique(genus * stems + chosen, return_index=True)
        again = np.ones(len(genus), dtype=bool)
        again[first] = False
        chosen[again] = rng.integers(0, stems, int(again.sum()))
    return chosen


def _columns(tree: Tree, names: pl.DataFrame, rng: np.random.Generator) -> pl.DataFrame:
    rows = len(tree.level)
    level, chance = pl.Series(tree.level), pl.Series(rng.random(rows))
    told = pl.Series(rng.random(rows) > 0.1)
    author, bracket = (
        _pick(rng, AUTHORS, rows).replace("", None),
        _pick(rng, [*AUTHORS[:2], "", ""], rows).replace("", None),
    )
    bracket = pl.select(pl.when(author.is_not_null()).then(bracket)).to_series()
    cited = pl.concat_str(pl.lit("(") + bracket + ")", author, separator=" ", ignore_nulls=True)
    key = pl.Series(np.arange(1, rows + 1))
    status = (
        pl.when((level == SYNONYM) & (chance < 0.02)).then(pl.lit("PROPARTE_SYNONYM")).when(level == SYNONYM)
        .then(pl.lit("SYNONYM")).when((level == SPECIES) & (chance < 0.03)).then(pl.lit("DOUBTFUL"))
        .otherwise(pl.lit("ACCEPTED"))
    )  # fmt: skip
    none = pl.lit(None, dtype=pl.String)
    return names.select(
        id=key,
        parent_key=pl.Series(tree.up + 1).replace(0, None),
        basionym_key=none,
        is_synonym=pl.when(level == SYNONYM).then(pl.lit("t")).otherwise(pl.lit("f")),
        status=status,
        rank=pl.Series(RANK_OF).gather(tree.level),
        nom_status=pl.lit("{}"), constituent_key=none, origin=pl.lit("SOURCE"), source_taxon_key=none,
        **{f"{rank}_key": pl.when(told).then(pl.Series(column + 1).replace(0, None))
           for rank, column in zip(RANKS, tree.lineage, strict=True)},
        name_id=key,
        scientific_name=pl.concat_str("canonical", cited.replace("", None), separator=" ", ignore_nulls=True),
        canonical_name="canonical", genus_or_above="genus", specific_epithet="epithet", infra_specific_epithet="infra",
        notho_type=none, authorship=author, year=none, bracket_authorship=bracket, bracket_year=none,
        name_published_in=none, issues=pl.lit("{}"),
    )  # fmt: skip
