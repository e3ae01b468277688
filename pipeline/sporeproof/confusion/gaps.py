"""Which missing values matter most: the to-do list for the next contribution (engine.md, 7).

A pair is an edible taxon and one of its suspects; it is *open* where less separates them in the field than is
required. A cell is a taxon and a character of which it lacks the value: nothing is recorded, or not at the ages that
its side of the pair needs. A value that is there and overlaps is no gap, nor is one that is unknown only because
another one is: then that other one is the cell.

Each cell is tried with **the most likely value**: the one that most taxa of its genus have on record, else of its
family, else of all to which the character applies; of ties the widest, then the first in the order of the catalogue;
of what is measured the median of the lows and of the highs. What is on record at other ages stays. It is a guess that
ranks work: no function returns it and no entry or table ever holds it, since a likely value is not a seen one.

Cells are ranked by how many open pairs they bring to what is required in the field. Then come the pairs that are short
at every level and for which a spore print or the laboratory would be enough. What would take two values at once is
counted, not searched.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from statistics import median

from sporeproof.confusion.appearance import STAGE, Appearance, Range, States, Traits, appearance_of, hull
from sporeproof.confusion.screen import Screen, positions_of
from sporeproof.confusion.separation import Contrast, levels_upto, required_of, separating, separators
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
    screen = Screen(looks, needed, _first(form), form)
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
    telling = _telling(*looks, form.characters.values(), form)
    required = required_of(other, form)
    return OpenPair(entry, other, required, _enough_at(telling, required, form), telling)


def _telling(a: Appearance, b: Appearance, characters: Iterable[Character], form: Form) -> dict[str, Contrast]:
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


def _recorded(traits: Traits, character: Character) -> dict[str, States] | dict[str, Range]:
    return (traits.ranges if character.is_measured else traits.states).get(character.id, {})


def missing_ages(look: Appearance, character: Character, *, eaten: bool) -> tuple[str, ...] | None:
    """Return at which ages one side of a pair lacks a value of its own, all where none is; None where it lacks none.

    The edible side needs one age that it accepts, the other one all that the vocabulary calls needed.
    """
    view, given = (look.accepted if eaten else look.shown)(character), _recorded(look.traits, character)
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
            known = bool(_recorded(look.traits, character))
            yield character, tuple(age for age in look.form.stages if known and age in lacks)


def _wanting(look: Appearance, character: Character, *, eaten: bool) -> set[str]:
    """Return the characters whose own values must be known before one side's view of this one can be."""
    if (look.accepted if eaten else look.shown)(character).status != "unknown":
        return set()
    own = set() if missing_ages(look, character, eaten=eaten) is None else {character.id}
    if character.applies_if is None:
        return own
    return own | _wanting(look, look.form.characters[character.applies_if[0]], eaten=eaten)


def _unknown(a: Appearance, b: Appearance, character: Character) -> bool:
    statuses = {a.accepted(character).status, b.shown(character).status}
    return "unknown" in statuses and "not-applicable" not in statuses


def _lacks(pair: OpenPair, form: Form) -> bool:
    """Tell whether a pair lacks a value that a character of some weight waits for, at any level."""
    a, b = appearance_of(pair.edible, form), appearance_of(pair.suspect, form)
    return any(
        _wanting(a, each, eaten=True) or _wanting(b, each, eaten=False)
        for each in form.characters.values()
        if form.weight(each) and form.level_of(each) and _unknown(a, b, each)
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
    level = _enough_at(kept | _telling(a, b, changed, form), pair.required, form)
    return level if not pair.level or level == _first(form) else ""


# Whom a likely value is taken from, the nearest first.
KIN: dict[str, Callable[[Entry], str]] = {
    "genus": lambda entry: entry.name.partition(" ")[0],
    "family": lambda entry: str(entry.value.get("family") or ""),
    "all": lambda entry: "all",
}


class Likely:
    """The most likely value of what is not on record, taken from the nearest relatives; see the module's text."""

    def __init__(self, entries: Iterable[Entry], form: Form) -> None:
        self.form = form
        self._groups: dict[tuple[str, str], list[Entry]] = {}
        self._kept: dict[tuple[str, str, str], list[Traits]] = {}
        for entry in entries:
            for kin, word_of in KIN.items():
                self._groups.setdefault((kin, word_of(entry)), []).append(entry)

    def supposed(self, entry: Entry, character: Character) -> tuple[str, Appearance | None]:
        """Return whom the value was taken from, and the taxon as it would look with it; nothing if nobody has one."""
        traits = appearance_of(entry, self.form).traits
        for kin, word_of in KIN.items():
            donors = [each for each in self._donors(character, kin, word_of(entry)) if each.taxon_id != entry.key]
            if donors:
                return kin, Appearance(_filled(traits, character, donors, self.form), self.form)
        return "", None

    def _donors(self, character: Character, kin: str, word: str) -> list[Traits]:
        """Return the traits of those of a kin that have a value of the character on record at all needed ages."""
        key = character.id, kin, word
        if key not in self._kept:
            looks = [appearance_of(each, self.form) for each in self._groups[kin, word] if word]
            known = (look for look in looks if look.shown(character).status == "known")
            self._kept[key] = [look.traits for look in known if _recorded(look.traits, character)]
        return self._kept[key]


def _filled(traits: Traits, character: Character, donors: list[Traits], form: Form) -> Traits:
    """Return a taxon's traits with the likely value beside what it has on record at other ages."""
    id = character.id
    if character.is_measured:
        lows, highs = zip(*(hull(each.ranges[id].values()) for each in donors), strict=True)
        ranges = {UNSTAGED: (median(lows), median(highs))} | traits.ranges.get(id, {})
        return replace(traits, ranges=traits.ranges | {id: ranges})
    likely = _most_frequent([_one_form(each.states[id], form) for each in donors], character)
    return replace(traits, states=traits.states | {id: dict(likely) | traits.states.get(id, {})})


Staged = tuple[tuple[str, States], ...]


def _one_form(given: dict[str, States], form: Form) -> Staged:
    """Return states by stage so that those who say the same are the same: no stages where all given are alike."""
    spread = {stage: states | given.get(UNSTAGED, frozenset()) for stage, states in given.items()}
    if len(set(spread.values())) == 1:
        return ((UNSTAGED, next(iter(spread.values()))),)
    return tuple((stage, spread[stage]) for stage in (*form.stages, UNSTAGED) if stage in spread)


def _most_frequent(values: list[Staged], character: Character) -> Staged:
    counts, order = Counter(values), list(character.states)

    def preferred(value: Staged) -> tuple[int, int, list[tuple[str, list[int]]]]:
        width = len(frozenset[str]().union(*(states for _, states in value)))
        return -counts[value], -width, [(stage, sorted(map(order.index, states))) for stage, states in value]

    return min(counts, key=preferred)


# One entry, at once.


Cell = tuple[Entry, str]


@dataclass(frozen=True, slots=True)
class Wanting:
    """What an edible entry lacks: ``short`` counts its pairs that are short in the field and have an unknown there.

    ``cell`` is whose and which one value might settle most of them, and ``settles`` how many; None where no single
    value could.
    """

    short: int
    cell: tuple[Entry, Character] | None
    settles: int


def settles_most(entry: Entry, others: Iterable[Entry], form: Form) -> Wanting | None:
    """Return the one missing value that might settle most of an edible entry's short pairs; None where none lacks any.

    ``others`` are suspects of it. Unlike `gaps` it supposes no value: a cell counts for a pair if all that is unknown
    for its sake alone would be enough, were it to separate with its full weight in the field. That is an upper bound
    for what can be known of the characters that wait for it, at the price of what a value would take from the others
    through an implication, which only `gaps` sees.
    """
    weigh, cells, short = _weigh_in_field(form), Counter[Cell](), 0
    a = appearance_of(entry, form)
    mine = {each.id: {(entry, id) for id in _wanting(a, each, eaten=True)} for each in weigh}
    for other in others:
        b, required = appearance_of(other, form), required_of(other, form)
        telling = _telling(a, b, weigh, form)
        unknown = [each for each in weigh if _unknown(a, b, each)]
        if unknown and separators(telling.values(), _first(form), required, form) < required:
            short += 1
            wanted = {
                each.id: mine[each.id] | {(other, id) for id in _wanting(b, each, eaten=False)} for each in unknown
            }
            cells.update(_might_settle(telling, wanted, required, form))
    best = min(cells, key=lambda cell: (-cells[cell], *_place(cell, form)), default=None)
    if best is None:
        return Wanting(short, None, 0) if short else None
    return Wanting(short, (best[0], form.characters[best[1]]), cells[best])


def _weigh_in_field(form: Form) -> list[Character]:
    seen = levels_upto(_first(form), form)
    return [each for each in form.characters.values() if form.weight(each) and form.level_of(each) in seen]


def _might_settle(
    telling: dict[str, Contrast], wanted: dict[str, set[Cell]], required: int, form: Form
) -> Iterator[Cell]:
    """Yield the cells of a short pair that would be enough alone, at their best."""
    waiting: dict[Cell, dict[str, Contrast]] = {}
    for id, cells in wanted.items():
        if len(cells) == 1:
            at_best = Contrast(form.characters[id], "yes", form.weight(form.characters[id]))
            waiting.setdefault(next(iter(cells)), {})[id] = at_best
    for cell, best in waiting.items():
        if separators((telling | best).values(), _first(form), required, form) >= required:
            yield cell


def _place(cell: Cell, form: Form) -> tuple[str, str, int]:
    entry, id = cell
    return entry.name, entry.key, form.characters[id].position


def _first(form: Form) -> str:
    return next(iter(form.vocabularies["levels"]))
