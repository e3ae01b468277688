"""No choice of a person between names changes what can harm somebody. Any entry of the real dataset, invented names."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.names.choices import Choices
from tests.laws.taxa import form
from tests.laws.test_edits_keep_what_can_harm import COMMENT, after, entries, leads, read, renames, untouched
from tests.names.invented import planned

OUTCOMES = ("renamed", "respelled", "homonym", "doubtful", "split")


@settings(max_examples=12, deadline=None)
@given(renames(), st.sampled_from(OUTCOMES), st.booleans())
def test_a_choice_changes_names_only(answers, outcome, several):
    before = read(entries())
    chosen = {each.name: each.accepted_name for each in answers}
    said = [
        replace(each, outcome=outcome, accepted_name="", accepted_authorship="", candidates=_candidates(each, several))
        if outcome in {"homonym", "doubtful", "split"}
        else replace(each, outcome=outcome)
        for each in answers
    ]
    plan = planned(entries(), said, form(), choices=Choices(chosen))
    assert len(plan.renames) + len(plan.refused) == len(answers)
    assert bool(plan.renames) is (outcome != "split"), plan.refused
    now = read(after(entries(), plan))
    assert before.keys() == now.keys()
    for key, entry in before.items():
        assert repr(untouched(now[key])) == repr(untouched(entry))
        assert {each.name for each in entry.names()} <= {each.name for each in now[key].names()}
        assert COMMENT.findall(now[key].text) == COMMENT.findall(entry.text)
    assert leads(now) == leads(before)


def _candidates(answer, several: bool) -> str:
    offered = f"{answer.accepted_name} {answer.accepted_authorship}".strip()
    return f"{offered}; Fictum aliud Nemo" if several else offered
