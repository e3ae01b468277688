"""Annotations, read back by a reader that was written from the documented form."""

from __future__ import annotations

import pytest
from hypothesis import given

from sporeproof.findings import Finding, Level, Mark, plain
from sporeproof.report.as_github import render
from sporeproof.report.summary import Summary
from tests.report.hostile import few, lists, summaries
from tests.report.workflow_commands import Command, read


@pytest.mark.parametrize(
    ("at", "place"),
    [
        (Mark("x.yaml"), {}),
        (Mark("x.yaml", 3), {"line": "3"}),
        (Mark("x.yaml", 3, 5, 1), {"line": "3", "col": "5", "endColumn": "5"}),
        (Mark("x.yaml", 3, 5, 6), {"line": "3", "col": "5", "endColumn": "10"}),
    ],
)
def test_place_is_as_exact_as_the_mark(at, place):
    log = render([Finding("a.b", Level.NOTICE, "50 % of it", "Why.", "Mend it.", at)], Summary())
    properties = {"file": "x.yaml"} | place | {"title": "a.b"}
    assert read(log) == ([Command("notice", properties, "50 % of it\nWhy: Why.\nMend: Mend it.")], [Summary().line()])


def test_clean_quiet_run_says_nothing():
    assert render([], Summary(), quiet=True) == ""


@few
@given(lists, summaries)
def test_every_text_comes_back_and_none_becomes_a_command(found, summary):
    commands, others = read(render(found, summary))
    assert others == [summary.line()]
    assert [each.name for each in commands] == [each.level for each in found]
    assert [each.properties["title"] for each in commands] == [plain(each.code) for each in found]
    assert [each.properties["file"] for each in commands] == [plain(each.at.file) for each in found]
    assert [each.message.split("\n")[0] for each in commands] == [plain(each.message) for each in found]
    assert [each.message.split("\n")[1:] for each in commands] == [
        [f"{title}: {plain(text)}" for title, text in (("Why", each.why), ("Mend", each.mend)) if text]
        for each in found
    ]
