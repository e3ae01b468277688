"""Which missing values matter most: the to-do list for the next contribution (engine.md, 7).

A pair is an edible taxon and one of its suspects; it is *open* where less separates them in the field than is
required. A cell is a taxon and a character of which it lacks the value: nothing is recorded, or not at the ages that
its side of the pair needs. A value that is there and overlaps is no gap, nor is one that is unknown only because
another one is: then that other one is the cell.

Each cell is tried with the most likely value (:mod:`.likely`).

Cells are ranked by how many open pairs they bring to what is required in the field. Then come the pairs that are short
at every level and for which a spore print or the laboratory would be enough. What would take two values at once is
counted, not searched.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from sporeproof.confusion.appearance import STAGE, Appearance, States, appearance_of
from sporeproof.confusion.likely import Likely, on_record
from sporeproof.confusion.screen import Screen, positions_of
from sporeproof.confusion.separation import Contrast, required_of, separating, separators
from sporeproof.confusion.suspects import Suspects
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry
from sporeproof.tables.resolve import Checklist


@dataclass(frozen=True, slots=True, eq=False)
class OpenPair:
    """An edible taxon and a suspect that is short of what is required in the field.

    ``level`` is the first at which it has enough, empty where it is short at every one; ``telling`` holds the
    contrasts that separate, by character.
    """

    edible: Entry
    suspect: Entry
    required: int
    level: str
    telling: dict[str, Contrast] = field(repr=False)

    def other(self, entry: Entry) -> Entry:
        """Return the other one of the two."""
        return self.suspect if entry is self.edible else self.edible


@dataclass(frozen=True, slots=True)
class Gap:
    """A cell, and the pairs that it would settle at each level, were its value the likely one.

    ``ages`` are those that lack, empty where nothing is recorded. ``kin`` says whom the likely value was taken from.
    """

    entry: Entry
    character: Character
    ages: tuple[str, ...]
    kin: str
    settles: dict[str, tuple[OpenPair, ...]]

    def at(self, level: str) -> int:
        """Return how many pairs it would settle at a level and not before."""
        return len(self.settles.get(level, ()))


@dataclass(frozen=True, slots=True)
class Gaps:
    """The gaps, the most telling first, and the open pairs they were judged by.

    ``about`` is the taxon whose pairs were asked for, None for all. Of the open pairs that no single cell settles,
    ``lacking`` lack values on either side all the same, and ``complete`` lack none: what is recorded overlaps.
    """

    about: Entry | None
    open: tuple[OpenPair, ...]
    gaps: tuple[Gap, ...]
    lacking: int
    complete: int


def gaps(checklist: Checklist, form: Form, about: Entry | None = None) -> Gaps:
    """Return the missing values of all open pairs, or of those of one taxon, ranked by what they would settle."""
    pairs = open_pairs(checklist, form, about)
    likely, reach = Likely(checklist.entries, form), reach_of(form)
    by_taxon: dict[Entry, list[OpenPair]] = {}
    for pair in pairs:
        for entry in (pair.edible, pair.suspect):
            by_taxon.setdefault(entry, []).append(pair)
    found = [gap for entry, its in by_taxon.items() for gap in _gaps_of(entry, its, likely, reach)]
    settled = {id(pair) for gap in found for those in gap.settles.values() for pair in those}
    stay = [pair for pair in pairs if id(pair) not in settled]
    lacking = sum(_lacks(pair, form) for pair in stay)
    found.sort(key=lambda gap: _rank(gap, form))
    return Gaps(about, tuple(pairs), tuple(found), lacking, len(stay) - lacking)


def _rank(gap: Gap, form: Form) -> tuple[int, int, str, str, int]:
    first, *later = form.vocabularies["levels"]
    return -gap.at(first), -sum(map(gap.at, later)), gap.entry.name, gap.entry.key, gap.character.position


def open_pairs(checklist: Checklist, form: Form, about: Entry | None = None) -> list[OpenPair]:
    """Return the pairs that are short in the field, by the edible one's name, the deadly suspects first."""
    suspects = Suspects(checklist.entries, form)
    needed = [required_of(each, form) for each in suspects.entries]
    looks = [appearance_of(each, form) for each in suspects.entries]
    screen = Screen(looks, needed, first_level(form), form)
    edible = (each for each in checklist.entries if form.is_edible(each.verdict))
    found = []
    for entry in sorted(edible, key=lambda each: (each.name, each.key)):
        counts, among = screen.separators(appearance_of(entry, form)), suspects.of(entry)
        short = (place for place in positions_of(among & ~counts.enough) if counts.of(place) < needed[place])
        others = (suspects.entries[place] for place in short)
        found += [_open_pair(entry, each, form) for each in others if about in (None, entry, each)]
    return found


def _open_pair(entry: Entry, other: Entry, form: Form) -> OpenPair:
    looks = appearance_of(entry, form), appearance_of(other, form)
    telling = telling_of(*looks, form.characters.values(), form)
    required = required_of(other, form)
    return OpenPair(entry, other, required, _enough_at(telling, required, form), telling)


def telling_of(a: Appearance, b: Appearance, characters: Iterable[Character], form: Form) -> dict[str, Contrast]:
    """Return what tells a pair apart, at least one way, by the characters' ids."""
    return {each.id: found for each in characters if (found := separating(a, b, each, form))}


def _enough_at(telling: dict[str, Contrast], required: int, form: Form) -> str:
    """Return the first level at which as much separates a pair as is required, empty where none is enough."""
    levels = form.vocabularies["levels"]
    return next((level for level in levels if separators(telling.values(), level, required, form) >= required), "")


def reach_of(form: Form) -> dict[str, tuple[Character, ...]]:
    """Return for each character all those whose view can change with its value, itself among them."""
    hang = {id: {id} for id in form.characters}
    for each in form.characters.values():
        if each.applies_if:
            hang[each.applies_if[0]].add(each.id)
    for implied in form.implications:
        for id in (implied.when_character, implied.unless_character):
            hang[id].add(implied.adds_character)
    return {id: tuple(form.characters[each] for each in sorted(_reached(id, hang))) for id in hang}


def _reached(id: str, hang: dict[str, set[str]]) -> set[str]:
    reached, fresh = {id}, {id}
    while fresh:
        fresh = {other for each in fresh for other in hang[each]} - reached
        reached |= fresh
    return reached


# What a taxon lacks.


def missing_ages(look: Appearance, character: Character, *, eaten: bool) -> tuple[str, ...] | None:
    """Return at which ages one side of a pair lacks a value of its own, all where none is; None where it lacks none.

    The edible side needs one age that it accepts, the other one all that the vocabulary calls needed.
    """
    view, given = (look.accepted if eaten else look.shown)(character), on_record(look.traits, character)
    if view.status != "unknown" or UNSTAGED in given:
        return None
    if not given:
        return look.form.stages
    lacks = _unaccepted(look, character, set(given)) if eaten else look.form.needed_stages - given.keys()
    return tuple(each for each in look.form.stages if each in lacks) or None


def _unaccepted(look: Appearance, character: Character, given: set[str]) -> States:
    """Return the ages that the edible side accepts, where none of those given is among them."""
    only = look.traits.accepted.get(STAGE)
    at_any_age = character.is_measured and not character.grows
    return frozenset() if only is None or at_any_age or only & given else only


def _cells(look: Appearance, pairs: Iterable[OpenPair]) -> Iterator[tuple[Character, tuple[str, ...]]]:
    """Yield what a taxon lacks in the parts that it plays, with the ages; none where nothing is recorded."""
    parts = {pair.edible.key == look.traits.taxon_id for pair in pairs}
    for character in look.form.characters.values():
        lacks = {age for eaten in parts for age in missing_ages(look, character, eaten=eaten) or ()}
        if lacks:
            known = bool(on_record(look.traits, character))
            yield character, tuple(age for age in look.form.stages if known and age in lacks)


def wanted_of(look: Appearance, character: Character, *, eaten: bool) -> set[str]:
    """Return the characters whose own values must be known before one side's view of this one can be."""
    if (look.accepted if eaten else look.shown)(character).status != "unknown":
        return set()
    own = set() if missing_ages(look, character, eaten=eaten) is None else {character.id}
    if character.applies_if is None:
        return own
    return own | wanted_of(look, look.form.characters[character.applies_if[0]], eaten=eaten)


def is_unknown(a: Appearance, b: Appearance, character: Character) -> bool:
    """Tell whether nobody can say of a character if it tells a pair apart, for want of a value."""
    statuses = {a.accepted(character).status, b.shown(character).status}
    return "unknown" in statuses and "not-applicable" not in statuses


def _lacks(pair: OpenPair, form: Form) -> bool:
    """Tell whether a pair lacks a value that a character of some weight waits for, at any level."""
    a, b = appearance_of(pair.edible, form), appearance_of(pair.suspect, form)
    return any(
        wanted_of(a, each, eaten=True) or wanted_of(b, each, eaten=False)
        for each in form.characters.values()
        if form.weight(each) and form.level_of(each) and is_unknown(a, b, each)
    )


# What it would be worth to know.


def _gaps_of(
    entry: Entry, pairs: list[OpenPair], likely: Likely, reach: dict[str, tuple[Character, ...]]
) -> Iterator[Gap]:
    look = appearance_of(entry, likely.form)
    for character, ages in _cells(look, pairs):
        kin, guessed = likely.supposed(entry, character)
        settles: dict[str, tuple[OpenPair, ...]] = {}
        for pair in pairs:
            if guessed and (level := _settled_at(pair, entry, guessed, reach[character.id])):
                settles[level] = (*settles.get(level, ()), pair)
        if settles:
            yield Gap(entry, character, ages, kin, settles)


def _settled_at(pair: OpenPair, entry: Entry, guessed: Appearance, changed: tuple[Character, ...]) -> str:
    """Return the first level at which an open pair would have enough; empty where there is none.

    A pair that has enough with a print or in the laboratory as it is can only be settled in the field.
    """
    form = guessed.form
    a = guessed if entry is pair.edible else appearance_of(pair.edible, form)
    b = guessed if entry is pair.suspect else appearance_of(pair.suspect, form)
    kept = {id: each for id, each in pair.telling.items() if id not in {each.id for each in changed}}
    level = _enough_at(kept | telling_of(a, b, changed, form), pair.required, form)
    return level if not pair.level or level == first_level(form) else ""


def first_level(form: Form) -> str:
    """Return the level that needs the least: what is seen in the field."""
    return next(iter(form.vocabularies["levels"]))
