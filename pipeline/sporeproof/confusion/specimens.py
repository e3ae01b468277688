"""Fruitbodies drawn by lot from the entries of taxa that can harm, and how many of them pass a list (engine.md, 5).

A check of the lists that shares nothing with the comparison they were made by: each fruitbody has an age, shows what
its entry says of that age, may be worn, and is read by somebody who takes a fifth of all states for a neighbour of it.
Wherever the entry is silent anything is drawn, so that no rate is better than what is known.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from sporeproof.confusion.proof import Item, Proof
from sporeproof.confusion.statistics import Figures
from sporeproof.confusion.suspects import is_suspect
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
        control, inside = self.of(above), _table(above, character.applies_if[1])
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


def _table(character: Character, states: Collection[str]) -> Flags:
    """Return which places of the catalogue are meant; the last one, which absence leads to, never is."""
    import numpy as np

    return np.array([each in states for each in character.states] + [False])


# Whether they pass.


@dataclass(frozen=True, slots=True)
class Passing:
    """How many fruitbodies of a suspect pass the list of an edible entry, of so many drawn.

    ``excluded`` says that the list claims to rule the suspect out.
    """

    entry: Entry
    grade: str
    level: str
    suspect: Entry
    excluded: bool
    drawn: int
    passed: int


def passes(specimens: Specimens, items: Iterable[Item]) -> Flags:
    """Return which fruitbodies pass every item of a list; what is not there cannot be read, and fails."""
    import numpy as np

    passed = np.ones(specimens.draws, dtype=np.bool_)
    for each in items:
        passed &= _accepts(each, specimens.of(each.character).read)
    return passed


def _accepts(item: Item, read: Codes | Numbers) -> Flags:
    import numpy as np

    if not item.character.is_measured:
        accepted: Flags = _table(item.character, item.states)[read]
        return accepted
    low, high = item.range or (np.inf, -np.inf)
    return np.isnan(read) | ((low <= read) & (read <= high))


def passing(
    proofs: Sequence[Proof], suspects: Iterable[Entry], form: Form, draws: int = 2000, seed: int = 1
) -> list[Passing]:
    """Return, for each list and each suspect of it, how many fruitbodies pass; by name, whatever the order given.

    The list is the one of the level that the grade speaks of; where nothing is proven, the one for the field.
    """
    rows = [
        _passing(each, specimens, form)
        for specimens in (Specimens(suspect, form, draws, seed) for suspect in suspects)
        for each in proofs
        if specimens.entry is not each.entry and is_suspect(specimens.entry, each.entry, form)
    ]
    return sorted(rows, key=lambda row: (row.entry.name, row.entry.key, row.suspect.name, row.suspect.key))


def _passing(proved: Proof, specimens: Specimens, form: Form) -> Passing:
    level, suspect = level_of(proved.grade, form), specimens.entry
    taken = next(each for each in proved.lists if each.level == level)
    excluded = all(each.suspect is not suspect for each in taken.does_not_exclude)
    passed = int(passes(specimens, taken.items).sum())
    return Passing(proved.entry, proved.grade, level, suspect, excluded, specimens.draws, passed)


def level_of(grade: str, form: Form) -> str:
    """Return the level whose list a grade speaks of: the field for the two best ones, and where nothing is proven."""
    levels, (_, *by_level, _) = list(form.vocabularies["levels"]), form.vocabularies["grades"]
    return dict(zip(reversed(by_level), levels, strict=True)).get(grade, levels[0])


def let_through(rows: Iterable[Passing], form: Form) -> list[Passing]:
    """Return where a deadly fruitbody passes a list that must stop it: there must be none.

    Such is each list that is proven in the field, and of any other one what it claims to rule out.
    """
    deadly = [row for row in rows if form.is_deadly(row.suspect.verdict)]
    return [row for row in deadly if row.passed and (row.excluded or _in_the_field(row, form))]


def _in_the_field(row: Passing, form: Form) -> bool:
    return row.grade in list(form.vocabularies["grades"])[-2:]


# So many fruitbodies a rate speaks of; rounded up, for it must not look smaller than it is.
OF = 100_000


def rates(rows: Sequence[Passing], form: Form) -> list[Figures]:
    """Return how many fruitbodies pass: the deadly ones by list, all by grade and verdict, and by pair where any do.

    The last table leaves out what is unproven, where more is said in the list of what is not excluded.
    """
    return [_of_deadly(rows, form), _by_grade(rows, form), _by_pair(rows, form)]


def _of_deadly(rows: Sequence[Passing], form: Form) -> Figures:
    found: dict[tuple[str, str], list[Passing]] = {}
    for row in rows:
        if _in_the_field(row, form) and form.is_deadly(row.suspect.verdict):
            found.setdefault((row.entry.name, row.grade), []).append(row)
    told = [(*key, *_sums(of)[:2]) for key, of in found.items()]
    return Figures("Deadly fruitbodies drawn that pass a list for the field", ("list of", "grade", "drawn", "passed"),
                   list(told))  # fmt: skip


def _by_grade(rows: Sequence[Passing], form: Form) -> Figures:
    verdicts = [each for each in form.vocabularies["verdicts"] if any(row.suspect.verdict == each for row in rows)]
    told = [
        (grade, level_of(grade, form), verdict, len(of), *_sums(of))
        for grade in reversed(form.vocabularies["grades"])
        for verdict in verdicts
        if (of := [row for row in rows if (row.grade, row.suspect.verdict) == (grade, verdict)])
    ]
    head = ("grade", "list", "verdict", "pairs", "drawn", "passed", f"in {OF:,}")
    return Figures("Fruitbodies drawn that pass a list, by its grade and their verdict", head, list(told))


def _by_pair(rows: Sequence[Passing], form: Form) -> Figures:
    graded = list(form.vocabularies["grades"])[1:]
    found = [row for row in rows if row.passed and row.grade in graded]
    found.sort(key=lambda row: (-row.passed / row.drawn, row.entry.name, row.suspect.name))
    told = [(row.entry.name, row.grade, row.suspect.name, row.suspect.verdict, *_sums([row])) for row in found]
    head = ("list of", "grade", "passed by", "verdict", "drawn", "passed", f"in {OF:,}")
    return Figures("Whose fruitbodies pass a graded list", head, list(told))


def _sums(rows: Iterable[Passing]) -> tuple[int, int, int]:
    drawn, passed = map(sum, zip(*((row.drawn, row.passed) for row in rows), strict=True))
    return drawn, passed, -(-passed * OF // drawn)
