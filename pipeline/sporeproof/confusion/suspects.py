"""Whom an edible taxon can be dangerous to take for, and whom it must have been compared with (engine.md, 4)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sporeproof.confusion.appearance import Appearance, appearance_of
from sporeproof.confusion.screen import Bits, bits_of
from sporeproof.confusion.separation import ENOUGH, required_of
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry
from sporeproof.tables.resolve import Checklist


def suspects_of(entry: Entry, entries: Iterable[Entry], form: Form) -> list[Entry]:
    """Return the suspects of an edible entry, in the order of the entries.

    They are the dangerous taxa, those nobody has settled, and the edible ones that would poison whoever prepares
    them as this one.
    """
    return [each for each in entries if each is not entry and is_suspect(each, entry, form)]


def is_suspect(other: Entry, entry: Entry, form: Form) -> bool:
    """Tell whether it would matter that somebody took ``other`` for the edible ``entry``."""
    if form.is_edible(other.verdict):
        return any(need not in entry.needs for need in _poisonous_without(other, form))
    return can_harm(other, form)


def can_harm(entry: Entry, form: Form) -> bool:
    """Tell whether a taxon is dangerous, unsettled, or poisonous unless it is prepared as it has to be."""
    if form.is_edible(entry.verdict):
        return bool(_poisonous_without(entry, form))
    return form.is_dangerous(entry.verdict) or form.is_unsettled(entry.verdict)


# What the vocabulary calls a need without which a taxon poisons.
POISONOUS_WITHOUT = "poisonous-without"


def _poisonous_without(entry: Entry, form: Form) -> list[str]:
    return [need for need in entry.needs if form.flagged("needs", need, POISONOUS_WITHOUT)]


class Suspects:
    """All that can be a suspect of some edible entry: by verdict, the deadly first, then by name."""

    def __init__(self, entries: Iterable[Entry], form: Form) -> None:
        verdicts = list(form.vocabularies["verdicts"])
        taken = (each for each in entries if each.verdict in verdicts and can_harm(each, form))
        self.entries = sorted(taken, key=lambda each: (verdicts.index(each.verdict), each.name, each.key))
        self.place = {entry.key: place for place, entry in enumerate(self.entries)}
        self.deadly = self.bits(each for each in self.entries if form.is_deadly(each.verdict))
        self.dangerous = self.bits(each for each in self.entries if form.is_dangerous(each.verdict))
        self.required = [required_of(each, form) for each in self.entries]
        self.lenient = self.bits(
            each for each, needed in zip(self.entries, self.required, strict=True) if needed < ENOUGH
        )
        self.never_eaten = self.bits(each for each in self.entries if not form.is_edible(each.verdict))
        self.poisonous_without = {
            need: self.bits(each for each in self.entries if need in each.needs)
            for need in form.vocabularies["needs"]
            if form.flagged("needs", need, POISONOUS_WITHOUT)
        }

    def of(self, entry: Entry) -> Bits:
        """Return the suspects of one edible entry, as `suspects.suspects_of` tells them."""
        found = self.never_eaten
        for need, who in self.poisonous_without.items():
            found |= 0 if need in entry.needs else who
        return found & ~self.bits([entry])

    def bits(self, entries: Iterable[Entry]) -> Bits:
        """Return the bits of those entries that are suspects."""
        return bits_of(self.place[each.key] for each in entries if each.key in self.place)


@dataclass(frozen=True, slots=True)
class Missing:
    """What the dataset lacks of a taxon that an entry must have been compared with.

    ``entry`` is None where no entry bears the name; ``harmless`` says that its verdict makes it no suspect;
    ``unrecorded`` names characters with the stage at which they are not on record.
    """

    name: str
    surface: str
    entry: Entry | None = None
    harmless: bool = False
    unrecorded: tuple[tuple[str, str], ...] = ()


def missing(entry: Entry, checklist: Checklist, form: Form) -> list[Missing]:
    """Return what stands in the way of comparing an edible entry with all that it must be compared with."""
    return [each for each in _missing(surfaces(entry, form), checklist, form) if each.entry is not entry]


def missing_of(checklist: Checklist, form: Form) -> list[Missing]:
    """Return what stands in the way of comparing all the edible entries of a dataset."""
    edible = [entry for entry in checklist.entries if form.is_edible(entry.verdict)]
    return _missing((surface for entry in edible for surface in surfaces(entry, form)), checklist, form)


def _missing(shown: Iterable[str], checklist: Checklist, form: Form) -> list[Missing]:
    """Name each taxon once, with the first surface for which it is missed."""
    found: dict[str, Missing] = {}
    for surface in dict.fromkeys(shown):
        for each in missing_at(surface, checklist, form):
            found.setdefault(each.name, each)
    return list(found.values())


def surfaces(entry: Entry, form: Form) -> list[str]:
    """Return the fertile surfaces that an entry can show; all of them where none is known."""
    shown = appearance_of(entry, form).shown(form.characters[form.surface])
    return [each for each in form.suspects if shown.status != "known" or each in shown.states]


def missing_at(surface: str, checklist: Checklist, form: Form) -> Iterator[Missing]:
    """Yield each taxon of a fertile surface that the dataset lacks, calls harmless or says too little of."""
    expected = form.suspects[surface]
    for name in expected.taxa:
        other = checklist.find(name).one
        if other is None:
            yield Missing(name, surface)
        elif not (form.is_dangerous(other.verdict) or form.is_unsettled(other.verdict)):
            yield Missing(name, surface, other, harmless=True)
        elif lacks := tuple(_unrecorded(other, expected.records, form)):
            yield Missing(name, surface, other, unrecorded=lacks)


def _unrecorded(entry: Entry, records: dict[str, tuple[str, ...]], form: Form) -> Iterator[tuple[str, str]]:
    look = appearance_of(entry, form)
    for stage, ids in records.items():
        for character in (form.characters[id] for id in ids if id in form.characters):
            if look.shown(character).status != "not-applicable" and not _recorded(look, character, stage):
                yield character.id, stage


def _recorded(look: Appearance, character: Character, stage: str) -> bool:
    given = (look.traits.ranges if character.is_measured else look.traits.states).get(character.id, {})
    return UNSTAGED in given or stage in given
