"""Fruitbodies drawn by lot from the entries of taxa that can harm (engine.md, 5).

They try the lists of proof (:mod:`.passing`), and nothing is shared with the comparison by which those were made. Each
has an age, shows what its entry says of that age, may be worn, and is read by somebody who takes a fifth of all states
for a neighbour of it. Wherever the entry is silent anything is drawn, so that no rate is better than what is known.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from sporeproof.form.catalogue import Character, Implication, closure
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry

if TYPE_CHECKING:
    import numpy as np

    Numbers = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
    Codes = np.ndarray[tuple[int, ...], np.dtype[np.int64]]
    Flags = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

# How many of the young are eggs where the catalogue implies eggs, how many states are worn, how many are misread.
# All three are our own choice, made to try the lists hard; nobody measured how often people err.
EGGS = 0.5
WORN = 0.25
MISREAD = 0.2

# What stands for a character that the fruitbody does not have; of a size, not-a-number stands for any at all.
ABSENT = -1


@dataclass(frozen=True, slots=True)
class Drawn:
    """One character of all fruitbodies of a taxon: what each shows, and what is read.

    A state stands by its place in the catalogue, a size as it is.
    """

    shown: Codes | Numbers
    read: Codes | Numbers


class Specimens:
    """Fruitbodies of one taxon. Each chance is drawn from the seed, the taxon and what it is about, and nothing else.

    So neither the other taxa nor the order in which characters are asked for changes a fruitbody.
    """

    def __init__(self, entry: Entry, form: Form, draws: int, seed: int) -> None:
        self.entry = entry
        self.form = form
        self.draws = draws
        self.seed = seed
        self._drawn: dict[str, Drawn] = {}

    def of(self, character: Character) -> Drawn:
        """Return one character of all fruitbodies."""
        if character.id not in self._drawn:
            self._drawn[character.id] = self._where_there(character, self._draw(character))
        return self._drawn[character.id]

    @cached_property
    def stage(self) -> Codes:
        """The age of each fruitbody, as its place in the order of the stages: each age is as frequent."""
        return _nth(self._chance("stage"), len(self.form.stages))

    @cached_property
    def egg(self) -> Flags:
        """Which fruitbodies are what the implications of the catalogue say, all of them at once."""
        eggs: Flags = (self.stage == 0) & (self._chance("egg") < (EGGS if self._implied else 0))
        return eggs

    def _chance(self, *of: str) -> Numbers:
        import numpy as np

        words = "\n".join([str(self.seed), self.entry.key, *of])
        number = int.from_bytes(hashlib.sha256(words.encode()).digest()[:16], "big")
        return np.random.default_rng(number).random(self.draws)

    # What is there.

    def _where_there(self, character: Character, drawn: Drawn) -> Drawn:
        """Take away what the fruitbody does not have; who takes it for a kind that has it may read anything."""
        import numpy as np

        if character.applies_if is None:
            return drawn
        above = self.form.characters[character.applies_if[0]]
        control, inside = self.of(above), table_of(above, character.applies_if[1])
        there, supposed = inside[control.shown], inside[control.read]
        read = np.where(there, drawn.read, np.where(supposed, self._anything(character), ABSENT))
        return Drawn(np.where(there, drawn.shown, ABSENT), read)

    def _anything(self, character: Character) -> Codes | Numbers:
        import numpy as np

        if character.is_measured:
            return np.full(self.draws, np.nan)
        return _nth(self._chance(character.id, "anything"), len(character.states))

    # What it shows, and what is read.

    def _draw(self, character: Character) -> Drawn:
        if character.is_measured:
            return self._sizes(character)
        shown = self._moved(character, self._states(character), WORN, "worn")
        return Drawn(shown, self._moved(character, shown, MISREAD, "misread"))

    def _states(self, character: Character) -> Codes:
        """Return a state for each fruitbody, unworn, of those that the entry has for its age."""
        import numpy as np

        chance, added = self._chance(character.id, "state"), self._added(character)
        later = [self._opened(character, self._at(character, stage), added) for stage in self.form.stages]
        drawn = np.choose(self.stage, [_picked(character, states, chance) for states in later])
        return np.where(self.egg, _picked(character, self._in_egg(character, added), chance), drawn) if added else drawn

    def _moved(self, character: Character, codes: Codes, share: float, how: str) -> Codes:
        """Return the states with a share of them turned into others: by wear, or by whoever reads them."""
        import numpy as np

        ends = [list(_others(character, state, how)) for state in character.states]
        count = np.array([len(each) for each in ends])
        places = np.array([_codes(character, each + [""] * (max(count) - len(each))) for each in ends], dtype=np.int64)
        moves = (self._chance(character.id, how) < share) & (count[codes] > 0)
        into = (self._chance(character.id, how, "into") * count[codes]).astype(np.int64)
        return np.where(moves, places[codes, np.where(moves, into, 0)], codes) if count.any() else codes

    def _sizes(self, character: Character) -> Drawn:
        import numpy as np

        limits = np.array([self._limits(character, stage) for stage in self.form.stages])[self.stage]
        shown = limits[:, 0] + self._chance(character.id, "size") * (limits[:, 1] - limits[:, 0])
        wrong = (2 * self._chance(character.id, "misread", "into") - 1) * character.tolerance
        return Drawn(shown, np.where(self._chance(character.id, "misread") < MISREAD, shown * (1 + wrong), shown))

    def _limits(self, character: Character, stage: str) -> tuple[float, float]:
        """Return the range for an age; the young ones of what grows begin at nothing."""
        given = self._at(character, stage)
        sizes = [float(each) for each in given if not isinstance(each, str)]
        if not sizes:
            return float("nan"), float("nan")
        return 0.0 if character.grows and stage == self.form.stages[0] else min(sizes), max(sizes)

    # What the entry says.

    def _given(self, id: str) -> dict[str, tuple[str | float, ...]]:
        """Return what the entry says by stage; nothing where a word of it is none of the catalogue."""
        value, character = self.entry.characters.get(id), self.form.characters[id]
        if value is None or value.is_range != character.is_measured:
            return {}
        known = value.is_range or all(set(states) <= character.states.keys() for states in value.by_stage.values())
        return value.by_stage if known else {}

    def _at(self, character: Character, stage: str) -> tuple[str | float, ...]:
        """Return what the entry says of an age, and everything (of a size: nothing) where nobody knows."""
        given, stages = self._given(character.id), self.form.stages
        if stage in given or UNSTAGED in given:
            return given.get(stage, given.get(UNSTAGED, ()))
        if self.form.needed_stages <= given.keys():
            return given[min(given, key=lambda each: abs(stages.index(each) - stages.index(stage)))]
        return tuple(character.states)

    def _recorded(self, id: str) -> frozenset[str]:
        """Return all that the entry says, of any age and worn; nothing where the young or mature ones are not known."""
        given = self._given(id)
        covers = UNSTAGED in given or self.form.needed_stages <= given.keys()
        states = frozenset(str(each) for states in given.values() for each in states)
        return closure(self.form.characters[id], states) if covers else frozenset()

    # Eggs.

    @cached_property
    def _implied(self) -> list[Implication]:
        return [each for each in self.form.implications if self._holds(each)]

    def _holds(self, implied: Implication) -> bool:
        when, unless = self._recorded(implied.when_character), self._recorded(implied.unless_character)
        return (not when or bool(when & implied.when_states)) and not (unless and unless <= implied.unless_states)

    def _added(self, character: Character) -> frozenset[str]:
        added = {state for each in self._implied if each.adds_character == character.id for state in each.adds_states}
        return closure(character, frozenset(added))

    def _opened(self, character: Character, states: Collection[str | float], added: frozenset[str]) -> list[str]:
        """Return what the others show: an egg is drawn whole, so its body is none of a fruitbody that has opened."""
        words = [str(each) for each in states]
        return [each for each in words if character.applies_if or each not in added] or words

    def _in_egg(self, character: Character, added: frozenset[str]) -> Collection[str]:
        """Return what an egg shows: what is implied and, of what only eggs have, what the entry says."""
        if character.applies_if is None:
            return added
        above, states = character.applies_if
        recorded, control = self._recorded(character.id), self._recorded(above)
        asked = character.id in self.entry.characters or not control or bool(control & states)
        return recorded | added if recorded or not asked else list(character.states)


def _others(character: Character, state: str, how: str) -> list[str]:
    """Return what a state may turn into, or be taken for, itself left out."""
    known = character.states[state]
    into = closure(character, frozenset({state})) if how == "worn" else known.near | known.like
    return [each for each in character.states if each in into and each != state]


def _codes(character: Character, states: Iterable[str]) -> list[int]:
    places = {state: place for place, state in enumerate(character.states)}
    return [places.get(each, ABSENT) for each in states]


def _nth(chance: Numbers, count: int) -> Codes:
    import numpy as np

    return (chance * count).astype(np.int64)


def _picked(character: Character, states: Collection[str], chance: Numbers) -> Codes:
    import numpy as np

    return np.array(sorted(_codes(character, states)), dtype=np.int64)[_nth(chance, len(states))]


def table_of(character: Character, states: Collection[str]) -> Flags:
    """Return which places of the catalogue are meant; the last one, which absence leads to, never is."""
    import numpy as np

    return np.array([each in states for each in character.states] + [False])
