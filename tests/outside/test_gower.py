"""Gower's coefficient (Gower 1971, Biometrics 27) against the package `gower` (MIT licence), which works in float32.

The two coincide where everything is known, each taxon shows one state of each character, in one month, with one
genus. The package takes two texts for alike or not, and it divides what is measured by its span in the dataset.
"""

from __future__ import annotations

import random

import numpy as np
import pytest
from gower import gower_matrix

from sporeproof.confusion.similarity import similarities
from tests.confusion.taxa import look
from tests.confusion.test_similarity import GENERA, LEAST, WEIGHTS, tables_of

# A fruitbody to which most of the catalogue applies, and that no implication makes an egg.
COMMON = {"body": "cap-and-stem", "hymenophore": "gills", "volva": "none"}


@pytest.fixture(scope="module")
def lasting(form):
    """The states, by character that weighs anything, in which a taxon that has them appears and in no other."""
    found = {}
    for id, character in form.characters.items():
        if id not in COMMON and not character.is_measured and character.seen_by in WEIGHTS:
            kept = [each for each in character.states if shown(form, id, each) == {each}]
            found |= {id: kept} if len(kept) > 1 else {}
    return found


def shown(form, id, state):
    return look(form, COMMON | {id: state}).shown(form.characters[id]).states


def shared(form):
    """The weight of all that every one of the taxa shows alike, because it has what is common or that implies it."""
    alike = look(form, COMMON)
    weighing = [each for each in form.characters.values() if each.seen_by in WEIGHTS]
    return sum(WEIGHTS[each.seen_by] for each in weighing if alike.shown(each).status == "known")


@pytest.mark.parametrize("seed", range(4))
def test_against_the_package(form, lasting, seed):
    chance = random.Random(seed)
    measured = [id for id, each in form.characters.items() if each.is_measured and takes_part(each)]
    assert len(lasting) >= 15
    assert len(measured) >= 2
    states = [{id: chance.choice(kept) for id, kept in lasting.items()} for _ in range(60)]
    sizes = [{id: sorted(chance.sample(range(1, 400), 2)) for id in measured} for _ in states]
    settings = [(chance.randint(1, 12), chance.choice(GENERA)) for _ in states]
    theirs = 1 - by_the_package(form, states, sizes, settings)
    tables = tables_of(form, [value(*each) for each in zip(states, sizes, settings, strict=True)])
    ours = similarities(tables, form).values
    np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-6)
    assert np.ptp(ours) > 0.5


def takes_part(character):
    controller, inside = character.applies_if or ("body", {COMMON["body"]})
    return character.seen_by in WEIGHTS and COMMON.get(controller) in inside


def value(states, sizes, setting):
    month, genus = setting
    return {
        "characters": COMMON | states | sizes,
        "season": {"from": month, "to": month},
        "hosts": {"usual": [genus]},
    }


def by_the_package(form, states, sizes, settings):
    """Return the package's distances of the same taxa, fed with codes and middles."""
    codes = [[list(form.characters[id].states).index(state) for id, state in each.items()] for each in states]
    middles = [[sum(size) / 2 for size in each.values()] for each in sizes]
    same = [[0.0] for _ in states]
    where = [[month, GENERA.index(genus)] for month, genus in settings]
    data = np.hstack([codes, where, same, middles]).astype(float)
    weights = [WEIGHTS[form.characters[id].seen_by] for id in states[0]] + [LEAST, LEAST]
    weights.append(shared(form))
    categorical = [True] * len(weights) + [False] * len(sizes[0])
    weights += [WEIGHTS[form.characters[id].seen_by] for id in sizes[0]]
    return gower_matrix(data, cat_features=categorical, weight=np.array(weights, dtype=float))
