"""The counts of a run in words."""

from __future__ import annotations

import pytest

from sporeproof.report.summary import Summary


@pytest.mark.parametrize(
    ("summary", "line"),
    [
        (Summary(), "0 errors, 0 warnings, 0 notices in 0 entries"),
        (Summary(1, 1, 1, 1), "1 error, 1 warning, 1 notice in 1 entry"),
        (
            Summary(0, 2, 1, 19, excused=3, excused_entries=2),
            "0 errors, 2 warnings, 1 notice in 19 entries; 3 excused in 2 entries",
        ),
        (
            Summary(2, 0, 0, 3, excused=1, excused_entries=1),
            "2 errors, 0 warnings, 0 notices in 3 entries; 1 excused in 1 entry",
        ),
        (
            Summary(1, 0, 0, 2, only_form=1),
            "1 error, 0 warnings, 0 notices in 2 entries; 1 entry could only be checked for its form",
        ),
        (
            Summary(2, 0, 0, 2, only_form=2),
            "2 errors, 0 warnings, 0 notices in 2 entries; 2 entries could only be checked for their form",
        ),
        (
            Summary(0, 0, 0, 1, whole=False, schema="packaged"),
            "0 errors, 0 warnings, 0 notices in 1 entry; rules about the dataset as a whole were left out; "
            "checked with the packaged schema",
        ),
    ],
)
def test_line(summary, line):
    assert summary.line() == line
