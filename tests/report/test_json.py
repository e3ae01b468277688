"""The contract for programs: keys, and texts that come back as they were."""

from __future__ import annotations

import json

from hypothesis import given

from sporeproof.findings import Finding, Level, Mark
from sporeproof.report.as_json import render
from sporeproof.report.summary import Summary
from tests.report.hostile import few, lists, summaries

FINDING = ["code", "level", "message", "why", "mend", "taxon_id", "name", "file", "line", "column"]
SUMMARY = [
    "errors",
    "warnings",
    "notices",
    "entries",
    "excused",
    "excused_entries",
    "only_form",
    "whole",
    "schema",
]


@few
@given(lists, summaries)
def test_keys_are_the_contract_and_values_come_back(found, summary):
    text = render(found, summary)
    read = json.loads(text)
    assert text.endswith("}\n")
    assert list(read) == ["schema", "findings", "summary"]
    assert read["schema"] == 1
    assert list(read["summary"]) == SUMMARY
    assert list(read["summary"].values()) == [getattr(summary, key) for key in SUMMARY]
    assert all(list(each) == FINDING for each in read["findings"])
    assert [list(each.values()) for each in read["findings"]] == [
        [*(getattr(each, key) for key in FINDING[:7]), each.at.file, each.at.line, each.at.column] for each in found
    ]


def test_letters_stay_readable_and_signs_that_do_not_print_are_escaped():
    found = Finding("a.b", Level.ERROR, "é 菌 \x7f\u202e\U000e0041", "", "", Mark("x.yaml"))
    assert r'"message": "é 菌 \u007f\u202e\udb40\udc41"' in render([found], Summary())
