"""Each format letter by letter. ``python -m tests.golden`` writes the texts anew and shows the difference."""

from __future__ import annotations

import pytest

from tests.golden.texts import HERE, formats, texts


@pytest.mark.parametrize("name", sorted(texts()))
def test_report_is_the_golden_text(name):
    assert texts()[name] == (HERE / name).read_bytes().decode()


def test_every_golden_report_has_a_format_and_every_format_a_golden_report():
    assert {path.suffix[1:] for path in HERE.glob("report.*")} == set(formats())
