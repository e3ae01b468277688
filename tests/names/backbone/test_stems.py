"""Stems and letters of whole columns are those of the plain functions, word by word."""

import polars as pl
from hypothesis import given
from hypothesis import strategies as st

from sporeproof.names.backbone.stems import letters_of, stems
from sporeproof.names.matching.alike import letters
from sporeproof.names.matching.normal_form import stem
from tests.bench.backbone import backbone

ENDINGS = [
    "gous",
    "goum",
    "trix",
    "bra",
    "rum",
    "arum",
    "us",
    "ii",
    "ei",
    "yi",
    "ensis",
    "ae",
    "ra",
    "yjii",
    "llss",
    "thh",
]
WORD = st.builds(
    str.__add__, st.text("abeghijlmrsty", min_size=0, max_size=9), st.sampled_from([*ENDINGS, "a", "x"])
).filter(lambda word: len(word) > 1)


@given(st.lists(WORD, min_size=1, max_size=60))
def test_columns_go_by_the_plain_functions(words):
    made = stems(pl.Series(words, dtype=pl.String)).to_list()
    assert made == [stem(word) for word in words]
    assert letters_of(pl.Series(made, dtype=pl.String)).tolist() == [letters(each) for each in made]


def test_thousands_of_epithets():
    words = backbone(20_000)["specific_epithet"].drop_nulls().unique().sort()
    assert len(words) > 5_000
    assert stems(words).to_list() == [stem(word) for word in words]
