"""Which similarity two taxa must reach to count as alike, found from the confusions that people wrote (engine.md, 3).

The authored pairs are those of an edible entry and a suspect that either of the two lists. The threshold is the largest
number at which 95 % of them are alike. How well it would do for an entry that nobody has written yet is told by holding
out each edible entry in turn: its pairs are judged by the threshold that all other pairs give. What stays in is the
span of each measured character, which the whole dataset gives.

Two things make a recall look surer or better than it is: the interval takes pairs of one entry for independent, which
they are not, and a pair that was listed because the check asked for it may owe that to the threshold of that day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, isnan, nan, sqrt
from statistics import median

from sporeproof.confusion.screen import positions_of
from sporeproof.confusion.similarity import weights_of
from sporeproof.confusion.statistics import Figures
from sporeproof.confusion.suspected import Suspected, Suspicion
from sporeproof.records.entry import Entry

# The share of the authored pairs that must be alike (engine.md, 4).
RECALL = 0.95
# A threshold is written with so many digits, rounded down: towards more pairs that are alike.
DIGITS = 2


@dataclass(frozen=True, slots=True)
class Pair:
    """An edible entry and one of its suspects: how alike, NaN where nothing is known of both; whether listed.

    ``is_thin`` says that it is not well separated in the field, so that it is asked for however unlike the two are.
    """

    entry: Entry
    other: Entry
    similarity: float
    is_authored: bool
    is_thin: bool

    def is_alike(self, threshold: float) -> bool:
        """Tell whether it comes up to a threshold; it does where nothing is known of both."""
        return isnan(self.similarity) or self.similarity >= threshold


@dataclass(frozen=True, slots=True)
class Recall:
    """How many of some authored pairs are alike, with the 95 % interval of that share."""

    found: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share, NaN of no pairs."""
        return self.found / self.of if self.of else nan


@dataclass(frozen=True, slots=True)
class Blind:
    """An authored pair that is not alike, with the characters that weigh for likeness and are missing in either."""

    pair: Pair
    missing: tuple[tuple[Entry, str], ...]


@dataclass(frozen=True, slots=True)
class Calibration:
    """The proposed threshold (None without authored pairs), the committed one, and what the one in force does.

    ``recall`` is of all authored pairs by the threshold in force, ``held_out`` of entries that were left out.
    ``suggested`` counts for each edible entry the suspects that are alike, ``thin`` those that are not well separated
    in the field; ``compared`` counts all pairs; ``blind`` are authored and not alike.
    """

    proposed: float | None
    committed: float | None
    recall: Recall
    held_out: Recall
    suggested: dict[str, int]
    thin: dict[str, int]
    compared: int
    blind: tuple[Blind, ...]

    @property
    def in_force(self) -> float | None:
        """The committed threshold, or the proposed one where none is."""
        return self.proposed if self.committed is None else self.committed

    @property
    def is_too_high(self) -> bool:
        """Tell whether the committed threshold would miss pairs that the proposed one finds."""
        return self.committed is not None and self.proposed is not None and self.committed > self.proposed


def calibrated(suspicion: Suspicion) -> Calibration:
    """Return the calibration of a dataset; the committed threshold is that of the suspicion."""
    pairs = [pair for each in suspicion.each(suspicion.checklist.entries) for pair in _pairs(each, suspicion)]
    authored = [pair for pair in pairs if pair.is_authored]
    proposed = threshold_of([pair.similarity for pair in authored])
    in_force = proposed if suspicion.threshold is None else suspicion.threshold
    judged = in_force or 0.0
    suggested = _by_entry(pairs, [pair.is_alike(judged) for pair in pairs])
    thin = _by_entry(pairs, [pair.is_thin for pair in pairs])
    blind = (Blind(pair, _missing(pair, suspicion)) for pair in authored if not pair.is_alike(judged))
    recall = recall_of([pair.is_alike(judged) for pair in authored])
    return Calibration(
        proposed, suspicion.threshold, recall, held_out(authored), suggested, thin, len(pairs), tuple(blind)
    )


def _by_entry(pairs: Sequence[Pair], hits: Sequence[bool]) -> dict[str, int]:
    found = dict.fromkeys((pair.entry.name for pair in pairs), 0)
    for pair, hit in zip(pairs, hits, strict=True):
        found[pair.entry.name] += hit
    return found


def _pairs(suspected: Suspected, suspicion: Suspicion) -> list[Pair]:
    found = []
    for position in positions_of(suspected.among):
        other = suspected.suspects.entries[position]
        value = suspicion.likeness.between(suspected.entry.key, other.key)
        similarity = nan if value is None else value
        is_authored, is_thin = suspected.authored >> position & 1, suspected.thin >> position & 1
        found.append(Pair(suspected.entry, other, similarity, bool(is_authored), bool(is_thin)))
    return found


def threshold_of(similarities: Sequence[float]) -> float | None:
    """Return the largest threshold at which 95 % of the pairs are alike, rounded down; None of no pairs.

    A pair of which nothing is known is alike at any threshold.

    >>> threshold_of([0.9, 0.8, 0.705])
    0.7
    """
    if not similarities:
        return None
    known = sorted(value for value in similarities if not isnan(value))
    spare = floor((1 - RECALL) * len(similarities) + 1e-9)
    lowest = known[spare] if spare < len(known) else 1.0
    nearest = round(lowest, DIGITS)
    return nearest if nearest <= lowest else round(nearest - 10**-DIGITS, DIGITS)


def held_out(authored: Sequence[Pair]) -> Recall:
    """Return the recall of each edible entry's pairs by the threshold that all other entries' pairs give."""
    hits: list[bool] = []
    for key in dict.fromkeys(pair.entry.key for pair in authored):
        others = threshold_of([pair.similarity for pair in authored if pair.entry.key != key])
        hits += [pair.is_alike(others or 0.0) for pair in authored if pair.entry.key == key]
    return recall_of(hits)


def recall_of(hits: Sequence[bool]) -> Recall:
    """Return how many are true, with Wilson's 95 % interval of the share (Wilson 1927, JASA 22).

    The interval takes the pairs as independent. Those of one entry are not, so it is too narrow rather than too wide.
    """
    found, of = sum(hits), len(hits)
    if not of:
        return Recall(0, 0, 0.0, 1.0)
    share, square = found / of, Z * Z
    middle = (share + square / (2 * of)) / (1 + square / of)
    half = Z * sqrt(share * (1 - share) / of + square / (4 * of * of)) / (1 + square / of)
    return Recall(found, of, max(0.0, middle - half), min(1.0, middle + half))


# The two-sided 95 % point of the normal distribution.
Z = 1.959963984540054


def _missing(pair: Pair, suspicion: Suspicion) -> tuple[tuple[Entry, str], ...]:
    form = suspicion.form
    return tuple(
        (entry, id)
        for entry in (pair.entry, pair.other)
        for id in weights_of(form)
        if suspicion.looks[entry.key].shown(form.characters[id]).status == "unknown"
    )


def calibration_figures(found: Calibration) -> list[Figures]:
    """Return the figures of a calibration that a release tells."""
    thin = sum(each.pair.is_thin for each in found.blind)
    rows: list[tuple[str | int, ...]] = [
        ("threshold in force", _number(found.in_force)),
        ("threshold proposed", _number(found.proposed)),
        ("authored pairs that are alike", _share(found.recall)),
        ("authored pairs alike, each entry held out in turn", _share(found.held_out)),
        ("suspects alike, of all that are compared", _part(sum(found.suggested.values()), found.compared)),
        ("suspects alike, least / median / most of an entry", _spread(found.suggested)),
        ("suspects not well separated in the field, least / median / most of an entry", _spread(found.thin)),
        ("blind spots: authored and not alike", f"{len(found.blind)}, of them {thin} thin, so asked for anyway"),
    ]
    return [Figures("Likeness, by the confusions that people wrote", ("", "figure"), rows)]


def _spread(counts: dict[str, int]) -> str:
    ordered = sorted(counts.values()) or [0]
    return f"{ordered[0]} / {median(ordered):g} / {ordered[-1]}"


def _number(value: float | None) -> str:
    return "none" if value is None else f"{value:.{DIGITS}f}"


def _share(recall: Recall) -> str:
    if not recall.of:
        return "none listed"
    share, low, high = (f"{100 * each:.1f}" for each in (recall.share, recall.low, recall.high))
    return f"{recall.found} of {recall.of} ({share} %; 95 % interval {low} to {high} %, pairs taken as independent)"


def _part(found: int, of: int) -> str:
    return f"{found} of {of} ({100 * found / of:.1f} %)" if of else "none compared"
