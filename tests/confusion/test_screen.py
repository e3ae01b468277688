"""All suspects at once must come to what the slow reading of engine.md, 2 says of each pair."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sporeproof.confusion.screen import Counts, Screen, bits_of, positions_of
from sporeproof.confusion.separation import compare, required_of, separators
from tests.confusion import reference
from tests.confusion.taxa import look, look_of
from tests.confusion.test_against_the_reference import full, some_accepted
from tests.laws.taxa import form


@given(st.sets(st.integers(0, 3000)))
def test_bits_hold_the_positions(positions):
    assert list(positions_of(bits_of(positions))) == sorted(positions)
    assert bits_of(positions) == sum(1 << each for each in positions)


@given(st.lists(st.tuples(st.sets(st.integers(0, 40)), st.integers(0, 1)), max_size=30))
def test_counts_are_sums(added):
    counts = Counts()
    for positions, place in added:
        counts.add(bits_of(positions), place)
    for position in range(41):
        total = sum(2**place for positions, place in added if position in positions)
        assert counts.of(position) == total
        assert counts.some >> position & 1 == (total >= 1)
        assert counts.enough >> position & 1 == (total >= 2)


@pytest.mark.parametrize("level", reference.LEVELS)
@pytest.mark.parametrize("seed", range(3))
def test_many_at_once_are_the_slow_reading_of_each(level, seed):
    chance = random.Random(seed)
    mine = full(chance)
    others = [full(chance, akin=mine if chance.random() < 0.7 else None) for _ in range(25)]
    needed = [chance.choice([1, 2]) for _ in others]
    a = {"characters": mine, "accept_only": some_accepted(chance, mine)}
    screen = Screen([look(form(), each) for each in others], needed, level, form())
    counts = screen.separators(look(form(), a["characters"], a["accept_only"]))
    told = [reference.contrasts(form(), a, {"characters": each, "accept_only": {}}) for each in others]
    expected = [reference.separators(form(), one, level, need) for one, need in zip(told, needed, strict=True)]
    assert [counts.of(place) for place in range(len(others))] == expected
    assert len(set(expected)) > 1


@pytest.mark.parametrize("level", reference.LEVELS)
def test_every_ordered_pair_of_the_dataset(dataset, level):
    looks = [look_of(form(), entry) for entry in dataset.entries]
    needed = [required_of(entry, form()) for entry in dataset.entries]
    screen = Screen(looks, needed, level, form())
    for place, mine in enumerate(looks):
        counts = screen.separators(mine)
        for there, theirs in enumerate(looks):
            if place != there and (place + there) % 3 == 0:
                expected = separators(compare(mine, theirs, form()), level, needed[there], form())
                assert counts.of(there) == expected, (dataset.entries[place].name, dataset.entries[there].name)
