"""What to look at before an edible species is accepted, what that does not exclude, and the grade (engine.md, 5).

The list is as short as it can be and no shorter than it must be. It says nothing of who picked what: each fruitbody
passes every item or is left, and an item that cannot be read fails.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import prod
from statistics import fmean
from typing import Any

from sporeproof.confusion.appearance import Appearance, Range, appearance_of
from sporeproof.confusion.proof_programme import Mask, any_of, demands, least_costly, mask_of, positions_in
from sporeproof.confusion.separation import ENOUGH, Contrast, levels_upto, required_of, separating, separators
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to look at: the states to accept, or the range, and how many suspects it rules out."""

    character: Character
    states: tuple[str, ...]
    range: Range | None
    rules_out: int


@dataclass(frozen=True, slots=True)
class Short:
    """A suspect that a list does not rule out as far as is required."""

    suspect: Entry
    required: int
    separators: int


@dataclass(frozen=True, slots=True)
class ProofList:
    """What to look at with the means of one level, the least effort first; :func:`as_handled` orders it for people.

    ``share`` is how much of what the entry itself lists passes; the list is never shown without ``does_not_exclude``.
    """

    level: str
    items: tuple[Item, ...]
    does_not_exclude: tuple[Short, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Proof:
    """The lists of an edible entry by level, the easiest first, and its grade with what holds it there.

    ``suspects`` counts those it was compared with; ``missing`` names those it should have been and was not.
    ``by_traits`` is the grade before any limit of the entry or its rank.
    """

    entry: Entry
    lists: tuple[ProofList, ...]
    grade: str
    reason: str
    suspects: int
    missing: tuple[str, ...]
    by_traits: str


# The part of the catalogue that is looked at before anything is touched.
SETTING = "setting"


def as_handled(items: Iterable[Item]) -> list[Item]:
    """Return items in the order of handling a find: where it stands, then from a glance to what needs a lamp."""
    return sorted(items, key=lambda each: each.character.part != SETTING)


@dataclass(frozen=True, slots=True)
class Rival:
    """A suspect as the programme sees it: what separates it, and which of that holds without ``accept_only``."""

    entry: Entry
    required: int
    contrasts: tuple[Contrast, ...]
    unguarded: Mask

    def separators(self, level: str, form: Form, among: Mask | None = None) -> int:
        """Return how much separates it at a level, by all characters or by some only."""
        chosen = (each for each in self.contrasts if among is None or among >> each.character.position & 1)
        return separators(chosen, level, self.required, form)


@dataclass(frozen=True, slots=True)
class Case:
    """All that the proof of one entry is made from."""

    entry: Entry
    look: Appearance
    rivals: tuple[Rival, ...]
    form: Form
    costs: dict[int, int]

    @property
    def levels(self) -> list[str]:
        """The levels, the easiest first."""
        return list(self.form.vocabularies["levels"])

    def visible(self, level: str) -> list[Character]:
        """Return the characters that can be seen at a level."""
        seen = levels_upto(level, self.form)
        return [each for each in self.form.characters.values() if self.form.level_of(each) in seen]

    def accepted_by(self, level: str) -> Mask:
        """Return the positions of what the entry itself says is to be looked at."""
        return mask_of(each.position for each in self.visible(level) if each.id in self.entry.accept_only)

    def short(self, level: str) -> list[Rival]:
        """Return the suspects that nothing at this level rules out as far as is required."""
        return [each for each in self.rivals if each.separators(level, self.form) < each.required]


def proof(entry: Entry, suspects: Sequence[Entry], form: Form, *, missing: Sequence[str]) -> Proof:
    """Return the proof of an edible entry against its suspects.

    ``missing`` names, in words, the suspects that it must be compared with and cannot be.
    """
    case = _case(entry, suspects, form)
    beginners, hindrance = _for_beginners(case)
    field = _cheapest(case, case.levels[0], 0) if beginners is None else beginners
    chosen = {level: _cheapest(case, level, field) for level in case.levels}
    lists = tuple(_list(case, level, positions) for level, positions in chosen.items())
    by_traits, why = _grade(case, hindrance, missing)
    grade, reason = _limited(case, by_traits, why)
    return Proof(entry, lists, grade, reason, len(case.rivals), tuple(missing), by_traits)


def _case(entry: Entry, suspects: Sequence[Entry], form: Form) -> Case:
    look = appearance_of(entry, form)
    unguarded = Appearance(replace(look.traits, accepted={}, accepted_ranges={}), form)
    weighed = [each for each in form.characters.values() if form.weight(each)]
    rivals = tuple(_rival(look, unguarded, each, weighed, form) for each in suspects if each is not entry)
    return Case(entry, look, rivals, form, _costs(form))


def _costs(form: Form) -> dict[int, int]:
    """What one look costs, by position; what is never suggested has no price."""
    methods = form.vocabularies["methods"]
    suggested = (each for each in form.characters.values() if form.level_of(each))
    return {each.position: int(methods[each.seen_by].more["cost"]) for each in suggested}


def _rival(look: Appearance, unguarded: Appearance, suspect: Entry, weighed: Iterable[Character], form: Form) -> Rival:
    other = appearance_of(suspect, form)
    found = (separating(look, other, one, form) for one in weighed)
    telling = tuple(each for each in found if each)
    of_all_ages = (each.character for each in telling if _all_ages(look, each.character))
    without = (separating(unguarded, other, one, form) for one in of_all_ages)
    needed = required_of(suspect, form)
    return Rival(suspect, needed, telling, any_of(each for each in without if each and not each.alike))


def _all_ages(look: Appearance, character: Character) -> bool:
    """Tell whether the entry says what the character is like in young and mature ones alike."""
    given = look.traits.ranges.get(character.id) or look.traits.states.get(character.id, {})
    return UNSTAGED in given or look.form.needed_stages <= given.keys()


# The lists.


def _cheapest(case: Case, level: str, taken: Mask) -> Mask:
    """Return the cheapest addition with which each suspect is ruled out as far as is required and can be had."""
    seen = mask_of(each.position for each in case.visible(level))
    asked = []
    for each in case.rivals:
        need = min(each.required, each.separators(level, case.form))
        asked += [demand & seen for demand in demands(each.contrasts, need, each.required)]
    chosen = least_costly(asked, case.costs, taken | case.accepted_by(level))
    assert chosen is not None, "what can be had can be had with every character"
    return chosen


def _list(case: Case, level: str, chosen: Mask) -> ProofList:
    of = {each.position: each for each in case.form.characters.values()}
    methods = list(case.form.vocabularies["methods"])
    looked_at = sorted((of[each] for each in positions_in(chosen)), key=lambda one: methods.index(one.seen_by))
    items = tuple(_item(case, each) for each in looked_at)
    return ProofList(level, items, _does_not_exclude(case, level, chosen), share(case.look, items))


def _item(case: Case, character: Character) -> Item:
    view = case.look.accepted(character)
    told = sum(any(each.character is character for each in rival.contrasts) for rival in case.rivals)
    return Item(character, tuple(each for each in character.states if each in view.states), view.range, told)


def _does_not_exclude(case: Case, level: str, chosen: Mask) -> tuple[Short, ...]:
    counted = (Short(each.entry, each.required, each.separators(level, case.form, chosen)) for each in case.rivals)
    short = [each for each in counted if each.separators < each.required]
    verdicts = list(case.form.vocabularies["verdicts"])
    return tuple(
        sorted(short, key=lambda each: (verdicts.index(each.suspect.verdict), each.separators, each.suspect.name))
    )


def share(look: Appearance, items: Iterable[Item]) -> float:
    """Return which share of its own listed appearances a taxon's list accepts, each stage weighing the same.

    An appearance is any combination of the states that the entry lists for the items; of a range, its length counts.
    """
    listed = list(items)
    given = [look.traits.states.get(each.character.id, {}) for each in listed]
    stages = sorted({stage for each in given for stage in each} - {UNSTAGED}) or [UNSTAGED]
    return fmean(prod(_share_of(look, each, stage) for each in listed) for stage in stages)


def _share_of(look: Appearance, item: Item, stage: str) -> float:
    if own := look.own_range(item.character):
        low, high = item.range or own
        inside = min(high, own[1]) - max(low, own[0])
        return max(0.0, inside) / (own[1] - own[0]) if own[1] > own[0] else float(inside >= 0)
    given = look.traits.states.get(item.character.id, {})
    states = given.get(stage) or frozenset().union(*given.values())
    return len(states & set(item.states)) / len(states) if states else 0.0


# The grade.


def _for_beginners(case: Case) -> tuple[Mask | None, str]:
    """Return the list that beginners can keep to, or none and what stands in the way."""
    hindrance = _by_nature(case)
    asked: list[Mask] = []
    for rows, says in _beginner_rows(case):
        short = [each for each, demanded in zip(case.rivals, rows, strict=True) if 0 in demanded]
        hindrance = hindrance or (says.format(_named(case, short)) if short else "")
        asked += [demand for row in rows for demand in row]
    if hindrance:
        return None, hindrance
    others = mask_of(each.position for each in case.form.characters.values() if case.form.weight(each) < ENOUGH)
    most = int(_ease(case.form)["most_others"])
    chosen = least_costly(asked, case.costs, case.accepted_by(case.levels[0]), others, most)
    many = f"More than {most} characters have to be looked at that are not decisive."
    return chosen, many if chosen is None else ""


def _ease(form: Form) -> dict[str, Any]:
    """Return what the vocabulary of grades says of somebody of the easiest one."""
    return list(form.vocabularies["grades"].values())[-1].more


def _by_nature(case: Case) -> str:
    """Say what no list can mend, empty where there is nothing."""
    form, known = case.form, case.form.vocabularies["needs"]
    if needs := [each for each in case.entry.needs if not form.is_ordinary(each)]:
        return f"It has needs of its own: {'; '.join(known[each].title if each in known else each for each in needs)}."
    dangerous = (each for each in case.rivals if form.is_dangerous(each.entry.verdict))
    if kin := [each for each in dangerous if _genus(each.entry) == _genus(case.entry)]:
        return f"Its genus holds dangerous ones: {_named(case, kin)}."
    return ""


def _genus(entry: Entry) -> str:
    return entry.name.partition(" ")[0]


Rows = list[list[Mask]]


def _beginner_rows(case: Case) -> list[tuple[Rows, str]]:
    """Return, for each thing that beginners need, its demands by suspect, and what to say of those it fails for."""
    form, seen = case.form, {each.id for each in case.visible(case.levels[0])}
    plain = [[c for c in each.contrasts if not c.alike and c.character.id in seen] for each in case.rivals]
    twice = [demands(each, ENOUGH, ENOUGH) for each in plain]
    fickle = set(_ease(form)["fickle"])
    steady = [
        [any_of(c for c in each if c.weight >= ENOUGH or c.character.witness not in fickle)]
        if form.is_deadly(rival.entry.verdict) else []
        for rival, each in zip(case.rivals, plain, strict=True)
    ]  # fmt: skip
    barrier = [
        [any_of(each) & rival.unguarded] if rival.required >= ENOUGH else []
        for rival, each in zip(case.rivals, plain, strict=True)
    ]
    return [
        (twice, "In the field, not told twice over, by what nobody confuses, from {}."),
        (steady, "Only size, colour or bruising tells it from {}."),
        (barrier, "Whoever accepts all of its specimens, and not only some, has nothing left against {}."),
    ]


def _grade(case: Case, hindrance: str, missing: Sequence[str]) -> tuple[str, str]:
    """Return the grade as the suspects have it, and what holds it there."""
    unproven, *by_level, beginner = case.form.vocabularies["grades"]
    if missing:
        return unproven, f"Not compared with what it must be compared with: {first_few(list(missing))}."
    below = ""
    for level, grade in zip(case.levels, reversed(by_level), strict=True):
        short = case.short(level)
        if not short:
            hinders = below or hindrance
            return (grade, hinders) if hinders else (beginner, case.form.vocabularies["grades"][beginner].definition)
        title = case.form.vocabularies["levels"][level].title.lower()
        below = f"At the level “{title}”, not told far enough from {_named(case, short)}."
    return unproven, f"At no level told far enough from {_named(case, short)}."


def _limited(case: Case, grade: str, reason: str) -> tuple[str, str]:
    """Lower a grade to what the entry itself, or its rank, allows; a limit that is no grade allows nothing."""
    grades = list(case.form.vocabularies["grades"])
    limits = [(grade, reason)]
    if case.form.flagged("ranks", case.entry.rank, "collective"):
        limits.append((grades[-2], "It speaks of several species at once."))
    if own := case.entry.edibility.get("grade_at_most"):
        limits.append((own["is"] if own.get("is") in grades else grades[0], str(own.get("because", ""))))
    return min(limits, key=lambda each: grades.index(each[0]))


def _named(case: Case, rivals: list[Rival]) -> str:
    verdicts = list(case.form.vocabularies["verdicts"])
    ranked = sorted(rivals, key=lambda each: (verdicts.index(each.entry.verdict), each.entry.name))
    return first_few([each.entry.name for each in ranked])


# A reason names the worst few; the rest stand in the list of what is not excluded.
NAMED = 3


def first_few(names: list[str]) -> str:
    """Return the first few of some names, and how many more there are."""
    more = len(names) - NAMED
    return ", ".join(names[:NAMED]) + (f" and {more} more" if more > 0 else "")
