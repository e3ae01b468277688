"""Work shared among processes gives what one process gives."""

from __future__ import annotations

import sys

import pytest

from sporeproof import parts, run
from tests.conftest import ROOT

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="work is shared on Linux only")


def test_results_come_in_the_order_of_the_items(monkeypatch):
    monkeypatch.setattr(parts, "MANY", 10)
    monkeypatch.setattr(parts.os, "cpu_count", lambda: 2)
    through: list[int] = []
    results = parts.in_parts(lambda part: [item * 2 for item in part], list(range(50)), through.append)
    assert len(results) > 1
    assert [each for part in results for each in part] == [item * 2 for item in range(50)]
    assert through == sorted(through)
    assert through[-1] == 50


def test_a_few_items_stay_here():
    through: list[int] = []
    assert parts.in_parts(list, [1, 2, 3], through.append) == [[1, 2, 3]]
    assert through == [3]


def test_a_mistake_in_another_process_is_not_swallowed(monkeypatch):
    monkeypatch.setattr(parts, "MANY", 1)
    monkeypatch.setattr(parts.os, "cpu_count", lambda: 2)
    with pytest.raises(ZeroDivisionError):
        parts.in_parts(lambda part: 1 // 0, [1, 2, 3], lambda done: None)


def test_a_shared_check_finds_the_same(monkeypatch):
    alone = run.check(ROOT)
    monkeypatch.setattr(parts, "MANY", 1)
    monkeypatch.setattr(parts.os, "cpu_count", lambda: 2)
    assert run.check(ROOT) == alone
