"""Two readings of engine.md, 1 and 2, must agree: the product's, and a slow one written from the text alone."""

from __future__ import annotations

import random
from itertools import permutations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sporeproof.confusion.separation import compare, separators
from sporeproof.confusion.separation import required as product_required
from tests.confusion import reference
from tests.confusion.taxa import look, look_of
from tests.laws.taxa import form, narrowings, taxa, values

BODIES = st.sampled_from(
    [
        ["cap-and-stem"],
        ["ball"],
        ["cap-and-stem", "club"],
        ["cap-and-stem", "bracket"],
        {"young": ["ball", "cap-and-stem"], "mature": ["cap-and-stem"]},
        {"mature": ["cap-and-stem"]},
    ]
)
SURFACES = st.sampled_from(
    [["gills"], ["gills", "smooth"], ["enclosed"], {"young": ["enclosed", "gills"], "mature": ["gills"]}]
)
VOLVAS = st.sampled_from([["none"], ["sac"], {"mature": ["none"]}])
STAGES = st.sampled_from([["young"], ["mature"], ["young", "mature"], ["old"]])


@st.composite
def kin(draw, characters):
    """A relative: the same but for a few values that change, go, or are forgotten at some stage."""
    other = dict(characters)
    for id in draw(st.lists(st.sampled_from(sorted(form().characters)), max_size=6, unique=True)):
        other[id] = draw(values(form().characters[id]))
    for id in draw(st.lists(st.sampled_from(sorted(other)), max_size=3, unique=True)):
        if isinstance(other[id], dict):
            other[id] = {draw(st.sampled_from(sorted(other[id]))): next(iter(other[id].values()))}
        else:
            del other[id]
    return other


@st.composite
def likely(draw):
    """A taxon with a body plan of the kinds that the engine treats specially, more often than chance would."""
    characters = draw(taxa())
    for id, choices in {"body": BODIES, "hymenophore": SURFACES, "volva": VOLVAS}.items():
        if draw(st.booleans()):
            characters[id] = draw(choices)
    for id, value in characters.items():
        if form().characters[id].is_measured and draw(st.booleans()):
            stages = draw(st.sampled_from([["young", "mature"], ["mature"], ["young"]]))
            characters[id] = dict.fromkeys(stages, value)
    return characters


@st.composite
def specimens(draw, characters):
    """An ``accept_only`` of states and ranges that are there, at some of the stages."""
    only = draw(narrowings(characters))
    for id, value in characters.items():
        given_at = [each for some in value.values() for each in some] if isinstance(value, dict) else value
        if form().characters[id].is_measured:
            within = st.integers(min(given_at), max(given_at))
            only |= {id: sorted(draw(st.tuples(within, within)))} if draw(st.booleans()) else {}
        elif isinstance(value, dict) and draw(st.integers(0, 3)) == 0:
            only[id] = [draw(st.sampled_from(given_at))]
    if draw(st.booleans()):
        only["stage"] = draw(STAGES)
    return only


@st.composite
def pairs(draw):
    """Two taxa, more often akin than not, each with the specimens that its verdict covers."""
    first = draw(likely())
    second = draw(likely()) if draw(st.integers(0, 3)) == 0 else draw(kin(first))
    return [{"characters": each, "accept_only": draw(specimens(each))} for each in (first, second)]


def differences(a, b, mine, theirs, form):
    """What the two readings say differently of a pair."""
    ours = compare(mine, theirs, form)
    product = {each.character.id: (each.separates, each.weight, each.alike) for each in ours}
    told = reference.contrasts(form, a, b)
    found = [(id, product.get(id), told[id]) for id in told if agreed(product.get(id)) != agreed(told[id])]
    for level in reference.LEVELS:
        for needed in (1, 2):
            sums = separators(ours, level, needed, form), reference.separators(form, told, level, needed)
            found += [(level, needed, *sums)] if sums[0] != sums[1] else []
    return found


def agreed(contrast):
    """Weight and likeness are asked of what separates only."""
    return contrast if contrast and contrast[0] == "yes" else contrast and contrast[0]


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(pair=pairs())
def test_any_two_taxa(pair):
    mine, theirs = (look(form(), each["characters"], each["accept_only"]) for each in pair)
    assert differences(*pair, mine, theirs, form()) == []
    assert differences(*reversed(pair), theirs, mine, form()) == []


def full(chance, akin=None):
    """A taxon with most of the catalogue recorded, as a rule with a cap, or a relative that differs here and there."""
    characters = dict(akin or {})
    for id, character in form().characters.items():
        if chance.random() < (0.4 if akin else 0.9):
            some = [1, 30] if character.is_measured else sorted(character.states)
            size = 2 if character.is_measured else chance.choice([1, 1, 2])
            draws = [chance.sample(some, min(size, len(some))) for _ in form().stages]
            draws = [sorted(chance.sample(range(1, 90), 2)) for _ in draws] if character.is_measured else draws
            by_stage = dict(zip(form().stages, draws, strict=True))
            by_stage.pop(chance.choice([*form().stages, "", "", "", ""]), None)
            characters[id] = by_stage if chance.random() < 0.3 else draws[0]
    if chance.random() < 0.8:
        characters |= {
            "body": ["cap-and-stem"],
            "hymenophore": chance.choice([["gills"], ["ridges"], ["gills", "maze"]]),
        }
    return characters


def some_accepted(chance, characters):
    """An ``accept_only`` that cuts some values down to one of their states, or a range to its top."""
    only = {"stage": chance.choice([["mature"], ["young", "mature"], ["old"]])} if chance.random() < 0.4 else {}
    for id, value in characters.items():
        if chance.random() < 0.4:
            given_at = [each for some in value.values() for each in some] if isinstance(value, dict) else value
            top = max(given_at)
            only[id] = [top, top] if form().characters[id].is_measured else [chance.choice(given_at)]
    return only


@pytest.mark.parametrize("start", range(0, 200, 50))
def test_full_taxa(start):
    for seed in range(start, start + 50):
        chance = random.Random(seed)
        first = full(chance)
        second = full(chance, akin=first)
        pair = [{"characters": each, "accept_only": some_accepted(chance, each)} for each in (first, second)]
        mine, theirs = (look(form(), each["characters"], each["accept_only"]) for each in pair)
        assert differences(*pair, mine, theirs, form()) == [], seed


def test_ordered_pairs_of_the_dataset(dataset, form):
    """A third of the pairs with an edible one, and some of the others: the plain reading is slow."""
    known = [(entry, raw(entry), look_of(form, entry)) for entry in dataset.entries]
    chosen = [
        (one, other)
        for (at, one), (there, other) in permutations(enumerate(known), 2)
        if (at - there) % (3 if form.is_edible(one[0].verdict) else 15) == 0
    ]
    assert len(chosen) > 1500
    found = [diff for (_, a, mine), (_, b, theirs) in chosen for diff in differences(a, b, mine, theirs, form)]
    assert found == []


def raw(entry):
    return {
        "characters": entry.value.get("characters", {}),
        "accept_only": entry.value.get("edibility", {}).get("accept_only", {}),
    }


SYNDROMES = [*sorted(form().vocabularies["syndromes"])]


@pytest.mark.parametrize("verdict", sorted(form().vocabularies["verdicts"]))
@pytest.mark.parametrize("severity", ["", "severe"])
@given(syndromes=st.lists(st.sampled_from(SYNDROMES), max_size=3, unique=True))
def test_what_is_required(verdict, severity, syndromes):
    expected = reference.required(verdict, syndromes, severity)
    assert product_required(verdict, severity, syndromes, form()) == expected
