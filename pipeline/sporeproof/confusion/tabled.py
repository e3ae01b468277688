"""What the engine says of pairs, in the rows of the release tables (data-model.md, 4)."""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.confusion.appearance import appearance_of
from sporeproof.confusion.separation import eaten_first, told
from sporeproof.confusion.suspected import Suspected, Suspicion
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.build import Row, Tables
from sporeproof.tables.resolve import Checklist

# Digits of a similarity: it ranks, and more would differ from machine to machine.
DIGITS = 4

# What stands in `listed` of a pair that nobody wrote, and what `separates` says where it is worth a row.
COMPUTED = "computed"
TOLD = ("yes", "one-way")


def with_pairs(tables: Tables, checklist: Checklist, form: Form, suspicion: Suspicion) -> Tables:
    """Return the tables with the computed pairs, and with what separates each pair and how alike it is."""
    suspected = {each.entry.key: each for each in suspicion.each(checklist.entries)}
    rows = [*tables["confusions"], *_computed(tables, suspected)]
    confusions = [_measured(row, checklist, suspected, suspicion) for row in rows]
    distinctions = _distinctions(confusions, tables, checklist, form)
    return {**tables, "confusions": sorted(confusions, key=_key), "distinctions": sorted(distinctions, key=_key)}


def _key(row: Row) -> tuple[str, ...]:
    return tuple(map(str, row[:3]))


def _computed(tables: Tables, suspected: dict[str, Suspected]) -> Iterator[Row]:
    """Yield the pairs that the traits bring up and for which the edible entry has no row of its own."""
    written = {(taxon_id, other_id) for taxon_id, other_id, *_ in tables["confusions"]}
    for taxon_id, each in suspected.items():
        for other in each.named(each.computed):
            if (taxon_id, other.key) not in written:
                yield taxon_id, other.key, COMPUTED, None, None, None, None, None, None


def _measured(row: Row, checklist: Checklist, suspected: dict[str, Suspected], suspicion: Suspicion) -> Row:
    """Fill in what is required and what separates, where the first of the pair is edible and the other a suspect."""
    one, other = (checklist.by_key[id] for id in row[:2])
    alike = suspicion.likeness.between(one.key, other.key)
    similarity = None if alike is None else round(alike, DIGITS)
    mine, place = suspected.get(one.key), suspicion.suspects.place.get(other.key)
    if mine is None or place is None or not mine.among >> place & 1:
        return *row[:6], None, None, similarity
    return *row[:6], suspicion.suspects.required[place], mine.counts.of(place), similarity


def _distinctions(confusions: list[Row], tables: Tables, checklist: Checklist, form: Form) -> Iterator[Row]:
    """Yield for each pair the characters that are claimed, and those that separate at least some of its forms."""
    claimed = {row[:3] for row in tables["distinctions"]}
    for taxon_id, other_id, *_ in confusions:
        for id, separates in _told(checklist.by_key[taxon_id], checklist.by_key[other_id], form):
            says = (taxon_id, other_id, id) in claimed
            if says or separates in TOLD:
                yield taxon_id, other_id, id, says, separates


def _told(one: Entry, other: Entry, form: Form) -> Iterator[tuple[str, str]]:
    a, b, mutual = eaten_first(one, other, form)
    looks = appearance_of(a, form), appearance_of(b, form)
    for id, character in form.characters.items():
        yield id, told(*looks, character, form, mutual=mutual).separates
