"""The report for a person: shape, what is said once, colour, and what nobody can forge."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from sporeproof.findings import SAFETY_NOTE, Finding, Level, Mark
from sporeproof.report.as_text import COLOURS, PLAIN, render
from sporeproof.report.summary import Summary
from tests.report.hostile import few, lists, summaries

AT = Mark("dataset/taxa/kuehneromyces-mutabilis.yaml", 5, 12, 6, "  verdict: edible")
FOUND = Finding(
    "safety.edible-without-confusion",
    Level.ERROR,
    "Kuehneromyces mutabilis is called edible, but no dangerous taxon is listed under confusions.",
    "People act on an edible verdict, so the entry must name what harms those who get it wrong.",
    "Add each dangerous taxon it is taken for, with `told_apart_by`, under `confusions`.",
    AT,
)
SHAPE = """\
dataset/taxa/kuehneromyces-mutabilis.yaml:5:12: error safety.edible-without-confusion
  5 |   verdict: edible
    |            ^^^^^^
  Kuehneromyces mutabilis is called edible, but no dangerous taxon is listed under confusions.
  Why:  People act on an edible verdict, so the entry must name what harms those who get it wrong.
  Mend: Add each dangerous taxon it is taken for, with `told_apart_by`, under `confusions`.
  More: sporeproof explain safety.edible-without-confusion
"""
END = f"0 errors, 0 warnings, 0 notices in 0 entries\n{SAFETY_NOTE}\n"


def test_finding_has_the_shape_of_the_style_guide():
    assert render([FOUND], Summary()) == f"{SHAPE}\n{END}"


def test_reason_and_mend_are_said_at_each_finding():
    text = render([FOUND, replace(FOUND, taxon_id="F9002")], Summary(errors=2, entries=2))
    assert text.count("  Why:  ") == 2
    assert text.count("  Mend: ") == 2


@pytest.mark.parametrize(
    ("at", "head"),
    [
        (Mark("dataset/taxa/a b.yaml"), "dataset/taxa/a b.yaml: error"),
        (Mark("x.csv", 7), "x.csv:7: error"),
        (Mark("x\n.csv", 7, 3), "x\\u{a}.csv:7:3: error"),
    ],
)
def test_finding_without_a_text_to_point_at_shows_its_file(at, head):
    lines = render([replace(FOUND, at=at)], Summary()).split("\n")
    assert lines[0] == f"{head} {FOUND.code}"
    assert lines[1] == f"  {FOUND.message}"


def test_finding_without_reason_or_mend_has_no_empty_line_for_them():
    text = render([replace(FOUND, why="", mend="")], Summary())
    assert "Why:" not in text
    assert "Mend:" not in text


def test_clean_run_says_so_with_the_safety_note_and_nothing_when_quiet():
    assert render([], Summary()) == END
    assert render([], Summary(), quiet=True) == ""
    assert render([FOUND], Summary(), quiet=True) == render([FOUND], Summary())


def test_colour_is_on_level_and_carets_only():
    text = render([FOUND], Summary(), colour=True)
    red = COLOURS[Level.ERROR]
    assert f": {red}error{PLAIN} safety." in text
    assert f"    |            {red}^^^^^^{PLAIN}\n" in text
    assert text.count("\x1b") == 4


@few
@given(lists, summaries)
def test_colour_changes_nothing_but_colour(found, summary):
    coloured = render(found, summary, colour=True)
    for code in (*COLOURS.values(), PLAIN):
        coloured = coloured.replace(code, "")
    assert coloured == render(found, summary)


@few
@given(lists, summaries)
def test_no_text_of_a_finding_forges_a_finding_or_a_line(found, summary):
    """Only a head and the two last lines begin at the margin, whatever stands in the findings."""
    blocks = render(found, summary).split("\n\n")
    assert len(blocks) == len(found) + 1
    for block, finding in zip(blocks, found, strict=False):
        head, *rest = block.split("\n")
        assert f": {finding.level} " in head
        assert all(line.startswith("  ") for line in rest)
        assert len(rest) <= 6
    assert blocks[-1] == f"{summary.line()}\n{SAFETY_NOTE}\n"
