"""Author citations held against each other.

Source: rules of the GBIF name matching service (gbif/matching-ws as of 2026-05) and how its parser reads citations.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sporeproof.names.matching.authors import DIFFERENT, EQUAL, UNKNOWN, authors_compared, citation


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("(Bull. : Fr.) P. Kumm.", "(Bull.) P.Kumm."),
        ("(Bull.: Fr.) P. Kumm.", "(Bull. : Fr.) P.Kumm."),
        ("Pers. : Fr.", "Pers."),
        ("(Vaill. ex Fr.) Sing.", "(Fr.) Sing."),
        ("Vaill. ex Fr.", "Fr."),
        ("L.", "Linnaeus"),
        ("L.", "Linnaeus, 1753"),
        ("L., 1753", "L."),
        ("P. Kumm.", "Kumm."),
        ("Quélet", "Quelet"),
        ("(Fr.) Quél.", "(Fr.) Quel."),
        ("Müll.", "Mueller"),
        ("Redhead et al.", "Redhead & Nemo"),
        ("Mill.", "Miller"),
        ("L.f.", "L. fil."),
    ],
)
def test_these_are_the_same_authors(one, other):
    assert authors_compared(one, other) == authors_compared(other, one) == EQUAL


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("L.f.", "L."),
        ("L.f.", "Linnaeus"),
        ("Nemo", "Alius"),
        ("P. Kumm.", "F. Kumm."),
        ("Nemo, 1801", "Alius, 1802"),
        ("Fr.", "Bull."),
    ],
)
def test_these_are_different_authors(one, other):
    assert authors_compared(one, other) == authors_compared(other, one) == DIFFERENT


@pytest.mark.parametrize(("one", "other"), [("", ""), ("", "L."), ("Fr.", ""), ("  ", "Fr.")])
def test_where_one_says_nothing_nobody_knows(one, other):
    assert authors_compared(one, other) == authors_compared(other, one) == UNKNOWN


def test_the_year_is_told_from_the_name():
    read = citation("(Bull. : Fr.) P. Kumm., 1871")
    assert read.year == "1871"
    assert [each.surname for each in read.combination] == ["kumm"]
    assert [each.surname for each in read.basionym] == ["bull"]


@given(st.text(max_size=25), st.text(max_size=25))
def test_no_text_raises_and_the_order_does_not_matter(one, other):
    assert authors_compared(one, other) == authors_compared(other, one)
