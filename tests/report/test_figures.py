"""Figures as text: aligned, and with nothing in them that a terminal would obey."""

from __future__ import annotations

from sporeproof.confusion.statistics import Figures
from sporeproof.report.figures import figures_text


def test_words_stand_left_and_numbers_right():
    figures = Figures("Taxa by verdict", ("", "taxa"), [("deadly", 7), ("edible-with-conditions", 12)])
    assert figures_text(figures) == (
        "Taxa by verdict\n"
        "                          taxa\n"
        "  deadly                     7\n"
        "  edible-with-conditions    12\n"
    )  # fmt: skip


def test_a_name_cannot_command_the_terminal():
    assert "\x1b" not in figures_text(Figures("Taxa", ("name", "of"), [("Fictum \x1b[2Jcommune", 1)]))
