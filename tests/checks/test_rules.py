"""Every rule: its page is whole, its examples do what they say, and its cases come out line by line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sporeproof.checks.registry import SECTIONS, all_rules
from tests.checks.cases import Case, found, from_file, from_page

HERE = Path(__file__).parent
RULES = list(all_rules().values())
CASES = [
    pytest.param(rule, case, id=f"{rule.code}: {case.title}")
    for rule in RULES
    for case in from_file(HERE / rule.family / f"{rule.code.partition('.')[2].replace('-', '_')}.yaml")
]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_page_has_its_sections_in_order(rule):
    assert tuple(re.findall(r"^## (\w+)$", rule.text, re.MULTILINE)) == SECTIONS
    assert rule.title.endswith(".")
    assert all(rule.section(section) for section in SECTIONS)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_wrong_example_is_found_and_right_one_is_not(rule, tmp_path):
    assert any(rule.code in each for each in found(from_page(rule, "Wrong"), [rule], tmp_path / "wrong"))
    assert found(from_page(rule, "Right"), [rule], tmp_path / "right") == []


@pytest.mark.parametrize(("rule", "case"), CASES)
def test_case(rule, case: Case, tmp_path):
    assert found(case, [rule], tmp_path) == case.expect


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_cases_are_red_once_and_green_once(rule):
    expected = [case.values[1].expect for case in CASES if case.values[0] is rule]
    assert any(expected)
    assert not all(expected)
