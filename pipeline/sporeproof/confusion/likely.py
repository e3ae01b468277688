"""The most likely value of what is not on record, for the sake of ranking work only (engine.md, 7).

It is the one that most taxa of its genus have on record, else of its family, else of all to which the character
applies; of ties the widest, then the first in the order of the catalogue; of what is measured the median of the lows
and of the highs. What is on record at other ages stays. It is a guess that ranks work: no function returns it and no
entry or table ever holds it, since a likely value is not a seen one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from statistics import median

from sporeproof.confusion.appearance import Appearance, Range, States, Traits, appearance_of, hull
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry


def on_record(traits: Traits, character: Character) -> dict[str, States] | dict[str, Range]:
    """Return what is on record of a character, by stage."""
    return (traits.ranges if character.is_measured else traits.states).get(character.id, {})


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
            self._kept[key] = [look.traits for look in known if on_record(look.traits, character)]
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
