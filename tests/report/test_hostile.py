"""No format lets a sign through that a terminal obeys or a reader does not see."""

from __future__ import annotations

import pytest
from hypothesis import given

from tests.golden.texts import formats
from tests.report.hostile import few, lists, summaries


@pytest.mark.parametrize("name", sorted(formats()))
@few
@given(found=lists, summary=summaries)
def test_every_sign_prints(name, found, summary):
    files = [each.at.file for each in found[:1]]
    text = formats()[name](found, summary, version="1.2.3", files=files, colour=False, quiet=False)
    assert {sign for sign in text if not sign.isprintable()} <= {"\n"}
    assert text.endswith("\n")
    assert text.encode("utf-8").decode("utf-8") == text
