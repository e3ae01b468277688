"""The rules that `verify` runs again: which they are, and that they find in a release what they find in its dataset."""

from __future__ import annotations

from pathlib import Path

import pytest

from sporeproof import run
from sporeproof.checks.judge import judge
from sporeproof.checks.registry import Rule, all_rules, released_rules
from sporeproof.findings import Level
from sporeproof.form.load import Form, load_form
from sporeproof.names.answers import Recorded
from sporeproof.records.read import Dataset
from sporeproof.tables.build import Facts, build
from sporeproof.tables.rebuilt import named, rebuilt
from tests.checks.cases import Case, form, from_file, from_page, lay

HERE = Path(__file__).parent
# The safety rules that cannot be run on a release, with what they ask for that no table holds.
NOT_IN_THE_TABLES = {
    "safety.both-listed-and-dismissed": "a pair has one row: what is dismissed and listed as well is there as listed",
    "safety.edible-without-confusion": "`no_dangerous_confusion`, which answers it",
    "safety.grade-above-limit": "`grade_at_most`",
    "safety.milder-than-member": "the members of a genus or species group",
}
# Cases that no release can hold, with the rule that stops them before.
NEVER_RELEASED = {
    "an opinion without its source does not count": "file.missing-key",
    "a name that may mean a deadly taxon counts as it": "reference.leads-to-several",
}


def test_every_safety_rule_is_run_again_or_says_why_not():
    safety = {code for code, rule in all_rules().items() if rule.family == "safety"}
    marked = {rule.code for rule in released_rules()}
    assert safety - marked == set(NOT_IN_THE_TABLES)
    assert marked & set(NOT_IN_THE_TABLES) == set()
    assert all(NOT_IN_THE_TABLES.values())


def cases_of(rule: Rule) -> list[Case]:
    file = HERE / rule.family / f"{rule.code.partition('.')[2].replace('-', '_')}.yaml"
    return [from_page(rule, "Wrong"), from_page(rule, "Right"), *from_file(file)]


CASES = [(rule, case) for rule in released_rules() for case in cases_of(rule)]


def judged(dataset: Dataset, rule: Rule, schema: Form) -> list[tuple]:
    checked = judge(dataset, dataset.readings, schema, (Recorded([]), []), rules=[rule])
    return sorted((each.code, each.level, each.taxon_id, each.name, each.message) for each in checked.findings)


def read(case: Case, root: Path) -> tuple[Dataset, Form]:
    lay(case, root)
    schema = load_form(root / "schema") if (root / "schema").exists() else form()
    return run.read_whole(root, schema), schema


@pytest.mark.parametrize(
    ("rule", "case"),
    [
        pytest.param(rule, case, id=f"{rule.code}: {case.title}")
        for rule, case in CASES
        if case.title not in NEVER_RELEASED
    ],
)
def test_a_marked_rule_finds_in_the_tables_what_it_finds_in_the_entries(rule, case, tmp_path):
    dataset, schema = read(case, tmp_path)
    beside = dataset.companions
    facts = Facts(run.checklist_of(dataset), schema, beside["sources"].value, beside["protections"].value)
    again = rebuilt(named(build(facts), schema), schema, beside["package"].value)
    assert judged(again, rule, schema) == judged(dataset, rule, schema)


@pytest.mark.parametrize(("title", "code"), NEVER_RELEASED.items())
def test_what_is_left_out_above_is_stopped_by_another_rule(title, code, tmp_path):
    dataset, schema = read(next(case for _, case in CASES if case.title == title), tmp_path)
    rule = all_rules()[code]
    assert code in {each[0] for each in judged(dataset, rule, schema)}
    assert rule.levels[0] is Level.ERROR
