"""Messages are written for a volunteer who knows fungi, not Python: every finding of every case is read here."""

from __future__ import annotations

import re

import pytest

from sporeproof import run
from sporeproof.checks.judge import judge
from sporeproof.findings import Finding
from sporeproof.form.load import load_form
from tests.checks.cases import form, from_page, lay
from tests.checks.test_rules import CASES, RULES

NOT_SAID = re.compile(
    r"\b(?:invalid|failed to|None|dict|NoneType|str|int|list object|Traceback|KeyError)\b|\{'|\['|<class"
)


def findings(rule, case, root) -> list[Finding]:
    lay(case, root)
    schema = load_form(root / "schema") if (root / "schema").exists() else form()
    dataset = run.read_whole(root, schema)
    return judge(dataset, dataset.readings, schema, run.recorded(root), rules=[rule]).findings


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_what_a_rule_says_is_plain(rule, tmp_path):
    cases = [from_page(rule, "Wrong"), *(case.values[1] for case in CASES if case.values[0] is rule)]
    said = [each for number, case in enumerate(cases) for each in findings(rule, case, tmp_path / str(number))]
    for each in said:
        for text in (each.message, each.mend, each.why):
            assert text
            own_words = re.sub(r"`[^`]*`", "", text)  # what the person wrote stands in backticks
            assert not NOT_SAID.search(own_words), text
            assert text[-1] in ".?!`", text
            assert len(text) < 600
