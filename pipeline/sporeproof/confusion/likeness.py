"""How alike a few taxa look: the same figure as `similarity`, without numpy, for a check that answers at once."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from math import isnan

from sporeproof.confusion.similarity import Aspect, Set


class Likeness:
    """Taxa made ready for comparing a few of them; sets of states, months and hosts are bit masks here."""

    def __init__(self, taxon_ids: Sequence[str], aspects: Iterable[Aspect]) -> None:
        self.place = {id: place for place, id in enumerate(taxon_ids)}
        listed = list(aspects)
        self.sets = [(each.weight, _masks(each.sets)) for each in listed if each.sets]
        self.middles = [(each.weight, _span(each.middles), each.middles) for each in listed if each.middles]

    def between(self, one: str, other: str) -> float | None:
        """Return the similarity of two taxa by their ids, None where nothing is known of both."""
        i, j = self.place[one], self.place[other]
        alike = known = 0.0
        for weight, masks in self.sets:
            if masks[i] and masks[j]:
                known += weight
                alike += weight * (masks[i] & masks[j]).bit_count() / (masks[i] | masks[j]).bit_count()
        for weight, span, middles in self.middles:
            if not isnan(middles[i] - middles[j]):
                known += weight
                alike += weight * (1 - abs(middles[i] - middles[j]) / span)
        return alike / known if known else None


def _masks(sets: Iterable[Set]) -> list[int]:
    bits: dict[Hashable, int] = {}
    return [sum(bits.setdefault(each, 1 << len(bits)) for each in one) for one in sets]


def _span(middles: Iterable[float]) -> float:
    known = [value for value in middles if not isnan(value)]
    return (max(known) - min(known) if known else 0.0) or 1.0
