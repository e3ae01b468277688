"""Versions of the data are in order as Semantic Versioning 2.0.0 has it (semver.org, item 11; examples from memory).

The reference is ``packaging`` (PyPI, Apache-2.0 or BSD), which orders three numbers in the same way.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from packaging.version import Version as Reference

from sporeproof.release.changes import Change
from sporeproof.release.strictness import Kind
from sporeproof.release.version import is_version, next_version, numbers

EXAMPLES = (
    ("1.0.0", "2.0.0", "2.1.0", "2.1.1"),
    ("1.9.0", "1.10.0", "1.11.0"),
)
PRE_RELEASES = (
    "1.0.0-alpha", "1.0.0-alpha.1", "1.0.0-alpha.beta", "1.0.0-beta", "1.0.0-beta.2", "1.0.0-beta.11", "1.0.0-rc.1",
    "1.0.0+20130313144700", "01.1.1", "1.2", "v1.2.3", "1.2.3.4",
)  # fmt: skip
VERSION = st.tuples(*[st.integers(0, 300)] * 3).map(lambda cells: ".".join(map(str, cells)))


@pytest.mark.parametrize("line", EXAMPLES)
def test_the_examples_of_the_standard_are_in_order(line):
    assert all(numbers(one) < numbers(other) for one, other in pairwise(line))


@pytest.mark.parametrize("text", PRE_RELEASES)
def test_there_are_no_pre_releases_of_the_data(text):
    """They come before the release itself; none is ever made, so none is taken for one."""
    assert not is_version(text)


@given(VERSION, VERSION)
def test_any_two_versions_are_in_the_order_of_the_reference(one, other):
    assert is_version(one)
    assert (numbers(one) < numbers(other)) == (Reference(one) < Reference(other))


@given(VERSION, st.sampled_from(list(Kind)))
def test_the_next_version_is_later_by_the_reference(version, kind):
    assert Reference(next_version(version, [Change(kind, "taxa", "x")]).number) > Reference(version)
