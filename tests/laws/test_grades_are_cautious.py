"""The laws of engine.md, 9, on the real dataset: what makes us know less never raises a grade."""

from __future__ import annotations

import copy
import random
from dataclasses import replace

import pytest

from sporeproof.confusion.proof import proof
from sporeproof.confusion.separation import compare, required_of, separators
from sporeproof.confusion.suspects import suspects_of
from sporeproof.records.entry import Entry
from tests.confusion.taxa import look_of
from tests.laws.taxa import free

LEVELS = ("field", "print", "lab")
SEEDS = range(14)


@pytest.fixture(scope="module")
def rank(form):
    grades = list(form.vocabularies["grades"])

    def of(entry, suspects, by=form):
        return grades.index(proof(entry, suspects, by, missing=[]).by_traits)

    return of


@pytest.fixture(scope="module")
def drawn(form, checklist):
    """For a seed: a chance, one of the best graded edible entries, its suspects, and one of them."""
    good = [checklist.find(name).one for name in BEST]

    def draw(seed):
        chance = random.Random(seed)
        entry = good[seed % len(good)]
        suspects = suspects_of(entry, checklist.entries, form)
        return chance, entry, suspects, chance.choice(suspects)

    return draw


BEST = (
    "Hydnum repandum", "Auricularia auricula-judae", "Mucidula mucida", "Boletus edulis", "Fistulina hepatica",
    "Leccinum scabrum", "Suillus luteus",
)  # fmt: skip


def changed(entry, **blocks):
    return Entry(entry.file, entry.text, copy.deepcopy(entry.value) | blocks)


def instead(suspects, old, new):
    return [new if each is old else each for each in suspects]


def counts(form, entry, other):
    contrasts = compare(look_of(form, entry), look_of(form, other), form)
    return [separators(contrasts, level, required_of(other, form), form) for level in LEVELS]


def no_more(new, old):
    return all(one <= other for one, other in zip(new, old, strict=True))


def staged(value):
    plain = value["is"] if isinstance(value, dict) and "is" in value else value
    if isinstance(plain, dict):
        return {stage: [states] if isinstance(states, str) else list(states) for stage, states in plain.items()}
    return {"": [plain] if isinstance(plain, str) else list(plain)}


@pytest.mark.parametrize("seed", SEEDS)
def test_another_state_of_a_suspect(form, drawn, rank, seed):
    chance, entry, suspects, other = drawn(seed)
    known = other.value["characters"]
    id = chance.choice([id for id in free() if id in known])
    extra = chance.choice(sorted(form.characters[id].states))
    wider = {stage: [*states, extra] for stage, states in staged(known[id]).items()}
    new = changed(other, characters={**known, id: wider.get("", wider)})
    assert no_more(counts(form, entry, new), counts(form, entry, other))
    assert rank(entry, instead(suspects, other, new)) <= rank(entry, suspects)


@pytest.mark.parametrize("seed", SEEDS)
def test_forgetting_the_young_of_a_suspect(form, drawn, rank, seed):
    chance, entry, suspects, other = drawn(seed)
    known = other.value["characters"]
    id = chance.choice([id for id in free() if id in known])
    given = staged(known[id])
    new = changed(other, characters={**known, id: {"mature": given.get("mature") or next(iter(given.values()))}})
    assert no_more(counts(form, entry, new), counts(form, entry, other))
    assert rank(entry, instead(suspects, other, new)) <= rank(entry, suspects)


@pytest.mark.parametrize("seed", SEEDS)
def test_narrowing_what_is_accepted(form, drawn, seed):
    chance, entry, _, other = drawn(seed)
    look = look_of(form, entry)
    several = [
        each for each in form.characters.values()
        if each.id in free() and look.accepted(each).status == "known" and len(look.accepted(each).states) > 1
    ]  # fmt: skip
    one = chance.choice(several)
    kept = chance.choice(sorted(look.accepted(one).states))
    given = entry.value["edibility"]
    edibility = {**given, "accept_only": {**given.get("accept_only", {}), one.id: [kept]}}
    narrow = changed(entry, edibility=edibility)
    assert no_more(counts(form, entry, other), counts(form, narrow, other))


@pytest.mark.parametrize("seed", SEEDS)
def test_one_more_dangerous_taxon(form, drawn, rank, seed):
    chance, entry, suspects, other = drawn(seed)
    known = {id: value for id, value in other.value["characters"].items() if chance.random() < 0.7}
    added = changed(other, id="F9999", name="Fictum additum", characters=known)
    assert rank(entry, [*suspects, added]) <= rank(entry, suspects)


@pytest.mark.parametrize("seed", SEEDS[::2])
def test_the_order_of_suspects_and_of_the_catalogue(form, drawn, rank, seed):
    chance, entry, suspects, _ = drawn(seed)
    assert rank(entry, chance.sample(suspects, len(suspects))) == rank(entry, suspects)
    ids = chance.sample(list(form.characters), len(form.characters))
    turned = {id: replace(form.characters[id], position=place) for place, id in enumerate(ids, 1)}
    assert rank(entry, suspects, replace(form, characters=turned)) == rank(entry, suspects)


def test_the_laws_have_something_to_lose(rank, drawn):
    """Grades must be high enough to fall, or the laws above would hold of anything."""
    assert max(rank(entry, suspects) for _, entry, suspects, _ in map(drawn, range(len(BEST)))) == 4
