"""Stems and letters of millions of words at once: what :mod:`sporeproof.names.matching` makes of one, by columns.

The plain functions there are the rule; a test holds that both come to the same.
"""

from __future__ import annotations

from string import ascii_lowercase
from typing import TYPE_CHECKING

from sporeproof.names.matching.alike import LETTERS, A
from sporeproof.names.matching.normal_form import LONG_ENDINGS, ONE_ENDINGS, TWO_ENDINGS

if TYPE_CHECKING:
    import numpy as np
    import polars as pl

ENDING = f"(?:{'|'.join((*LONG_ENDINGS, *TWO_ENDINGS, *ONE_ENDINGS))})$"
DOUBLED = {letter * 2: letter for letter in ascii_lowercase}
SILENT = {f"{letter}h": letter for letter in "trg"}
# So many stems are counted at once.
PART = 200_000


def stems(words: pl.Series) -> pl.Series:
    """Return the stem of each word; words are made of the letters a to z."""
    import polars as pl

    word = pl.col("word")
    one_gender = (
        pl.when(word.str.contains("g(?:ous|oum)$")).then(word.str.head(-3))
        .when(word.str.ends_with("trix")).then(word.str.head(-4) + "tor")
        .when(word.str.contains("[bcdfghjklmnpqrstvwxz]r(?:a|um)$")).then(word.str.replace("r(?:a|um)$", "er"))
        .otherwise(word)
    )  # fmt: skip
    ended = words.to_frame("word").select(one_gender.str.replace(ENDING, "").alias("word"))
    joined = word.str.head(1) + word.str.slice(1).str.replace_all("[jyi]+", "i")
    single = joined.str.replace_many(list(DOUBLED), list(DOUBLED.values()))
    return ended.select(single.str.replace_many(list(SILENT), list(SILENT.values())).alias("stem"))["stem"]


def letters_of(words: pl.Series) -> np.ndarray:
    """Return the letters of each word as bits, as :func:`sporeproof.names.matching.alike.letters` does."""
    import numpy as np

    found = np.zeros(len(words), dtype=np.uint64)
    weights = np.left_shift(np.uint64(1), np.arange(LETTERS, dtype=np.uint64))
    for start in range(0, len(words), PART):
        part = words.slice(start, PART)
        signs = np.frombuffer("".join(part).encode(), dtype=np.uint8) - A
        rows = np.repeat(np.arange(len(part)), part.str.len_bytes().to_numpy())
        counts = np.bincount(rows * LETTERS + signs, minlength=len(part) * LETTERS).reshape(-1, LETTERS)
        once, twice = ((counts > least).astype(np.uint64) @ weights for least in (0, 1))
        found[start : start + len(part)] = once | (twice << np.uint64(LETTERS))
    return found
