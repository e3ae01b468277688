"""Knowing more of a taxon's looks never excludes it; seeing more of a find never brings an excluded taxon back.

Nor does one who cannot tell two states apart exclude more than one who can, nor saying the stage exclude less.
"""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.confusion.doubt import doubt
from sporeproof.confusion.observation import observe
from sporeproof.form.catalogue import Character
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist
from tests.laws.taxa import form, free, states, taxa


def reading(character: Character) -> st.SearchStrategy[str]:
    if character.is_measured:
        return st.integers(1, 200).map(lambda size: f"{character.id}={size}")
    return states(character).map(lambda seen: f"{character.id}={','.join(seen)}")


@st.composite
def finds(draw: st.DrawFn) -> list[str]:
    """Readings of one fruitbody, those left out that cannot be true beside the ones before them."""
    catalogue = form().characters
    chosen = draw(st.lists(st.sampled_from(sorted(catalogue)), max_size=12, unique=True))
    kept: list[str] = []
    for id in ["body", "hymenophore", *(each for each in chosen if each not in {"body", "hymenophore"})]:
        word = draw(reading(catalogue[id]))
        if not observe([*kept, word], form()).unclear:
            kept.append(word)
    return kept


def separators(find: list[str], characters: dict[str, Any], stage: str = "") -> int:
    entry = Entry("dataset/taxa/fictum-commune.yaml", "", {"id": "F9001", "characters": characters})
    (only,) = doubt(observe(find, form(), stage), Checklist([entry]), form()).standings
    return only.separators


@given(finds(), taxa(), st.data())
@settings(max_examples=60, deadline=None)
def test_adding_a_state_to_a_taxon_never_excludes_it(find, characters, data):
    known = [id for id in free() if id in characters]
    if not known:
        return
    id = data.draw(st.sampled_from(known))
    more = data.draw(states(form().characters[id]))
    given_ = characters[id]
    wider = (
        {stage: sorted({*old, *more}) for stage, old in given_.items()}
        if isinstance(given_, dict)
        else sorted({*given_, *more})
    )
    assert separators(find, characters | {id: wider}) <= separators(find, characters)


@given(finds(), taxa())
@settings(max_examples=60, deadline=None)
def test_seeing_more_never_brings_an_excluded_one_back(find, characters):
    counts = [separators(find[:length], characters) for length in range(1, len(find) + 1)]
    assert counts == sorted(counts)


@given(finds(), taxa(), st.data())
@settings(max_examples=60, deadline=None)
def test_being_unsure_between_states_never_excludes_more(find, characters, data):
    at = data.draw(st.integers(0, len(find) - 1))
    id, _, value = find[at].partition("=")
    if form().characters[id].is_measured:
        return
    seen = {*value.split(","), *data.draw(states(form().characters[id]))}
    unsure = [*find[:at], f"{id}={','.join(sorted(seen))}", *find[at + 1 :]]
    assert separators(unsure, characters) <= separators(find, characters)


@given(finds(), taxa(), st.sampled_from(["young", "mature", "old"]))
@settings(max_examples=60, deadline=None)
def test_saying_the_stage_never_excludes_less(find, characters, stage):
    """Where no implication and no body plan of one age speaks: those make other characters apply."""
    plain = {
        id: [*dict.fromkeys(each for states in value.values() for each in states)] if isinstance(value, dict) else value
        for id, value in characters.items()
        if id not in free()
    }
    plain |= {id: value for id, value in characters.items() if id in free()}
    assert separators(find, plain, stage) >= separators(find, plain)


@given(finds(), st.integers(1, 12), st.sampled_from(["GB", "FR", "GB-SCT"]))
@settings(max_examples=30, deadline=None)
def test_month_and_region_change_no_standing(find, month, region):
    entry = Entry(
        "dataset/taxa/fictum-commune.yaml",
        "",
        {"id": "F9001", "characters": {"body": ["cap-and-stem"]}, "season": {"from": 3, "to": 4}, "region": "GB"},
    )
    seen, checklist = observe(find, form()), Checklist([entry])
    plain = doubt(seen, checklist, form())
    warned = doubt(seen, checklist, form(), region, month)
    assert [each.word for each in warned.standings] == [each.word for each in plain.standings]
