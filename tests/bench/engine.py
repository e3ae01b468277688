"""Invented taxa by an invented catalogue of 80 characters: all edible ones against all dangerous ones, timed."""

from __future__ import annotations

import random
import resource
import time
from dataclasses import dataclass, replace

import numpy as np

from sporeproof.confusion.appearance import Appearance, Traits
from sporeproof.confusion.screen import Screen
from sporeproof.confusion.similarity import Aspect, ready
from sporeproof.form.catalogue import Character, State
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED

CHARACTERS = 80
STATES = 9
# Of five taxa two are edible and three are suspects: the most pairs that so many taxa can make, nearly.
EDIBLE = 0.4


def catalogue(form: Form) -> Form:
    """Return the form with a catalogue of 80 characters, all seen in the field, in 30 witnesses."""
    chance = random.Random(80)
    made = [_character(place, chance) for place in range(1, CHARACTERS + 1)]
    return replace(form, characters={each.id: each for each in made}, implications=[])


def _character(place: int, chance: random.Random) -> Character:
    names = [f"s{number}" for number in range(STATES)]
    states = {
        name: State(name, name, near=frozenset(chance.sample(names, 1)), like=frozenset(chance.sample(names, 1)))
        for name in names
    }
    proof = chance.choice(["firm", "firm", "decisive"])
    kind, seen_by = ("categorical", chance.choice(["glance", "close", "cut"]))
    return Character(f"c{place}", place, f"c{place}", "cap", f"w{place % 30}", kind, proof, seen_by, states=states)


def taxa(count: int, form: Form) -> list[Appearance]:
    """Return taxa with one to three states of each character, of which one in ten is not known."""
    chance = random.Random(count)
    found = []
    for place in range(count):
        states = {
            each.id: {UNSTAGED: frozenset(chance.sample(sorted(each.states), chance.choice([1, 1, 2, 3])))}
            for each in form.characters.values()
            if chance.random() < 0.9
        }
        found.append(Appearance(Traits(f"F{place:05}", states), form))
    return found


@dataclass(frozen=True, slots=True)
class Timed:
    """Seconds: of what each taxon shows, of the separators, of a bare AND over the same masks, of the similarity."""

    looks: float
    separators: float
    bare: float
    similarity: float
    pairs: int
    peak_mib: float


def timed(count: int, form: Form) -> Timed:
    """Compare generated taxa, and take the times."""
    invented = catalogue(form)
    looks = taxa(count, invented)
    cut = int(count * EDIBLE)
    edible, suspects = looks[:cut], looks[cut:]
    start = time.perf_counter()
    for each in invented.characters.values():
        for look in edible:
            look.accepted(each)
        for look in suspects:
            look.reported(each)
    shown = time.perf_counter() - start
    start = time.perf_counter()
    screen = Screen(suspects, [2] * len(suspects), "field", invented)
    counts = [screen.separators(each) for each in edible]
    separators = time.perf_counter() - start
    some = sum(each.some.bit_count() for each in counts[:10])
    assert 0 < some <= 10 * len(suspects)
    bare = _bare(edible, suspects, invented)
    return Timed(shown, separators, bare, _similarity(edible, suspects, invented), cut * len(suspects), _peak())


def _bare(edible: list[Appearance], suspects: list[Appearance], form: Form) -> float:
    """One AND a pair and character, in blocks that stay in the processor's cache; nothing else is done."""
    mine = np.array(
        [[_mask(c, each.accepted(c).states) for c in form.characters.values()] for each in edible], np.uint32
    )
    other = np.array([[_mask(c, each.reported(c)) for c in form.characters.values()] for each in suspects], np.uint32)
    columns = [np.ascontiguousarray(other[:, place]) for place in range(CHARACTERS)]
    out = np.empty((8, len(suspects)), np.uint32)
    start = time.perf_counter()
    for first in range(0, len(edible), 8):
        block = mine[first : first + 8]
        for place, column in enumerate(columns):
            np.bitwise_and(block[:, place, np.newaxis], column, out=out[: len(block)])
    return time.perf_counter() - start


def _mask(character: Character, states: frozenset[str]) -> int:
    return sum(1 << place for place, id in enumerate(character.states) if id in states)


def _similarity(edible: list[Appearance], suspects: list[Appearance], form: Form) -> float:
    looks = [*edible, *suspects]
    start = time.perf_counter()
    aspects = [Aspect(1.0, sets=[look.shown(each).states for look in looks]) for each in form.characters.values()]
    ids = [look.traits.taxon_id for look in looks]
    compared, step = ready(ids, aspects), 500
    for first in range(0, len(edible), step):
        compared.alike_to(ids[first : min(first + step, len(edible))], ids[len(edible) :], 0.5)
    return time.perf_counter() - start


def _peak() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def against_gower(count: int) -> tuple[float, float]:
    """Return our seconds and those of the gower package for the similarity of every two taxa, on the same codes."""
    import gower

    chance = np.random.default_rng(count)
    codes = chance.integers(0, STATES, size=(count, CHARACTERS)).astype(float)
    ids = [f"F{place:05}" for place in range(count)]
    aspects = [Aspect(1.0, sets=[frozenset([code]) for code in column]) for column in codes.T]
    start = time.perf_counter()
    ours = ready(ids, aspects).of_all()
    taken = time.perf_counter() - start
    start = time.perf_counter()
    theirs = gower.gower_matrix(codes, cat_features=[True] * CHARACTERS)
    peer = time.perf_counter() - start
    assert np.abs(1 - theirs - ours).max() < 1e-6
    return taken, peer
