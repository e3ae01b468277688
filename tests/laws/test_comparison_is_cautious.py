"""The laws of engine.md, 9, as far as separation goes: what makes us know less never separates more."""

from __future__ import annotations

import copy

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from sporeproof.form.catalogue import closure
from tests.confusion.taxa import apart, by, look
from tests.laws.taxa import form, free, narrowings, taxa

LEVELS = ("field", "print", "lab")


def sums(a, b):
    return [apart(form(), a, b, level, needed) for level in LEVELS for needed in (1, 2)]


@settings(deadline=None, max_examples=40)
@given(a=taxa(), b=taxa(), data=st.data())
def test_another_state_of_a_suspect_never_separates_more(a, b, data):
    known = [id for id in free() if id in b]
    assume(known)
    id = data.draw(st.sampled_from(known))
    extra = data.draw(st.sampled_from(sorted(form().characters[id].states)))
    wider = copy.deepcopy(b)
    for states in [wider[id]] if isinstance(wider[id], list) else wider[id].values():
        states.append(extra)
    mine = look(form(), a)
    assert by(form(), mine, look(form(), wider)) <= by(form(), mine, look(form(), b))
    assert all(
        new <= old for new, old in zip(sums(mine, look(form(), wider)), sums(mine, look(form(), b)), strict=True)
    )


@settings(deadline=None, max_examples=40)
@given(a=taxa(), b=taxa())
def test_forgetting_the_young_never_separates_more(a, b):
    forgotten = {
        id: {stage: states for stage, states in value.items() if stage != "young"} if isinstance(value, dict) else value
        for id, value in b.items()
        if id in free()
    }
    mine, poorer = look(form(), a), look(form(), b | forgotten)
    assert by(form(), mine, poorer) <= by(form(), mine, look(form(), b))


@settings(deadline=None, max_examples=40)
@given(a=taxa(), b=taxa(), data=st.data())
def test_accepting_less_never_separates_less(a, b, data):
    only = {id: states for id, states in data.draw(narrowings(a)).items() if id in free()}
    other = look(form(), b)
    assert by(form(), look(form(), a), other) <= by(form(), look(form(), a, only), other)


@settings(deadline=None, max_examples=40)
@given(a=taxa(), b=taxa(), data=st.data())
def test_what_is_not_recorded_never_separates(a, b, data):
    id = data.draw(st.sampled_from(sorted(b)))
    poorer = look(form(), {key: value for key, value in b.items() if key != id})
    assert id not in by(form(), look(form(), a), poorer)


@settings(deadline=None, max_examples=40)
@given(a=taxa(), data=st.data())
def test_nothing_separates_a_taxon_from_itself(a, data):
    only = data.draw(narrowings(a))
    reachable = {id for id in by(form(), look(form(), a, only), look(form(), a)) if form().characters[id].states}
    assert reachable == set()


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_closure_is_closed_and_near_is_mutual(data):
    character = data.draw(st.sampled_from([each for each in form().characters.values() if each.states]))
    states = frozenset(data.draw(st.sets(st.sampled_from(sorted(character.states)), min_size=1)))
    worn = closure(character, states)
    assert states <= worn == closure(character, worn)
    assert all(id in character.states[other].near for id in states for other in character.states[id].near)
