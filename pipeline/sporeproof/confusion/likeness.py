"""How alike a few taxa look: the same figure as `similarity`, without numpy, for a check that answers at once.

Sets of states, months and hosts are bit masks here; the shares are worked out once for each two masks that meet.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from functools import cached_property
from math import isnan

from sporeproof.confusion.appearance import Appearance, appearance_of
from sporeproof.confusion.similarity import NOTHING, SETTING_TABLES, Set, least_of, middle, settings_of, weights_of
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.build import Facts, unsorted
from sporeproof.tables.resolve import Checklist


class Likeness:
    """The taxa of a dataset, whose middles give each measured character its span, ready for comparing a few of them."""

    def __init__(self, entries: Sequence[Entry], form: Form) -> None:
        self.place = {entry.key: place for place, entry in enumerate(entries)}
        self.entries = entries
        self.form = form

    def between(self, one: Entry, other: Entry) -> float | None:
        """Return the similarity of two taxa, None where nothing is known of both."""
        i, j = self.place[one.key], self.place[other.key]
        alike = known = 0.0
        for weight, masks in self._sets:
            if masks[i] and masks[j]:
                known += weight
                alike += weight * self._share(masks[i], masks[j])
        for weight, span, middles in self._middles:
            if not isnan(middles[i] - middles[j]):
                known += weight
                alike += weight * (1 - abs(middles[i] - middles[j]) / span)
        return alike / known if known else None

    def _share(self, one: int, other: int) -> float:
        return (one & other).bit_count() / (one | other).bit_count()

    @cached_property
    def _looks(self) -> list[Appearance]:
        return [appearance_of(entry, self.form) for entry in self.entries]

    @cached_property
    def _weighed(self) -> list[tuple[Character, float]]:
        return [(self.form.characters[id], weight) for id, weight in weights_of(self.form).items()]

    @cached_property
    def _sets(self) -> list[tuple[float, list[int]]]:
        given: list[tuple[float, list[Set]]] = [
            (weight, [look.shown(each).states for look in self._looks])
            for each, weight in self._weighed
            if not each.is_measured
        ]
        tables = unsorted(Facts(Checklist(self.entries), self.form, {}, []), SETTING_TABLES)
        settings = [
            (least_of(self.form), [sets.get(entry.key, NOTHING) for entry in self.entries])
            for sets in settings_of(tables)
        ]
        return [(weight, _masks(sets)) for weight, sets in (*given, *settings)]

    @cached_property
    def _middles(self) -> list[tuple[float, float, list[float]]]:
        found = []
        for each, weight in self._weighed:
            if each.is_measured:
                middles = [middle(look, each) for look in self._looks]
                known = [value for value in middles if not isnan(value)]
                found.append((weight, (max(known) - min(known) if known else 0.0) or 1.0, middles))
        return found


def _masks(sets: Iterable[Set]) -> list[int]:
    bits: dict[Hashable, int] = {}
    return [sum(bits.setdefault(each, 1 << len(bits)) for each in one) for one in sets]
