"""The line that is shown and its carets. Cell widths are compared with those of the library rich."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from sporeproof.findings import Mark, plain
from sporeproof.report.excerpt import CUT, ROOM, excerpt
from tests.report.hostile import few

ALPHABET = "ab: 菌ｆé\u0301\t\x1b\u202e🍄"


@pytest.mark.parametrize(
    ("text", "column", "width", "shown", "carets"),
    [
        ("  verdict: edible", 12, 6, "  verdict: edible", "           ^^^^^^"),
        ("a\tb: NO", 6, 2, "a b: NO", "     ^^"),
        ("x: \x1b[31mred", 4, 1, r"x: \u{1b}[31mred", "   ^^^^^^"),
        ("\x00x: no", 5, 2, r"\u{0}x: no", "        ^^"),
        ("菌: 毒 x", 4, 1, "菌: 毒 x", "    ^^"),
        ("菌: 毒 x", 6, 1, "菌: 毒 x", "       ^"),
        ("e\u0301tat: no", 7, 2, "e\u0301tat: no", "     ^^"),
        ("ring:", 6, 1, "ring:", "     ^"),
        ("ring: no", 99, 3, "ring: no", "        ^"),
        ("ring: no", 7, 99, "ring: no", "      ^^"),
        ("ring: no", 0, 0, "ring: no", "^"),
        ("note: " + "a" * 200, 7, 3, "note: " + "a" * 90 + CUT, "      ^^^"),
        ("a" * 200 + "bb", 201, 2, CUT + "a" * 94 + "bb", " " * 95 + "^^"),
        ("a" * 200 + "bb" + "a" * 200, 201, 2, CUT + "a" * 40 + "bb" + "a" * 54 + CUT, " " * 41 + "^^"),
    ],
)
def test_carets_stand_below_what_is_meant(text, column, width, shown, carets):
    assert excerpt(Mark("x", 1, column, width, text)) == (shown, carets)


@few
@given(st.text(ALPHABET, min_size=1, max_size=200), st.data())
def test_first_caret_stands_below_its_sign(text, data):
    column = data.draw(st.integers(1, len(text)))
    shown, carets = excerpt(Mark("x", 1, column, 1, text))
    sign = text[column - 1]
    wide = shown + " " * ROOM
    starts = {index for index in range(len(wide)) if cell_len(wide[:index]) == carets.count(" ")}
    assert sign == "\u0301" or any(wide[index:].startswith(plain(sign)) for index in starts)
    assert carets.count("^") == max(cell_len(plain(sign)), 1)


@few
@given(
    st.text(ALPHABET),
    st.integers(0, 20),
    st.sampled_from([1, 500]),
    st.integers(0, 20_000),
    st.integers(0, 20_000),
)
def test_no_line_is_wider_than_there_is_room(text, stem, times, column, width):
    shown, carets = excerpt(Mark("x", 1, column, width, "a" * stem + text * times))
    assert max(cell_len(shown), len(carets)) <= ROOM + 2
    assert len(shown) <= ROOM * len(r"\u{202e}")


def test_signs_that_take_no_cell_do_not_make_a_line_endless():
    shown, carets = excerpt(Mark("x", 1, 2, 1, "e" + "\u0301" * 100_000 + ": no"))
    assert len(shown) <= ROOM + len(CUT)
    assert carets == " ^"
