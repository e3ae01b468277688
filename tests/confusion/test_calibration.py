"""The threshold of likeness: found as engine.md, 3 and 4 say, and held against the interval of a reference library."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from sporeproof.confusion.calibration import (
    Pair,
    calibrated,
    calibration_figures,
    held_out,
    recall_of,
    threshold_of,
)
from sporeproof.confusion.suspected import Suspicion
from sporeproof.confusion.suspects import suspects_of
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist

SHARES = st.floats(0, 1, allow_nan=False)


def entry(id):
    return Entry(f"dataset/taxa/fictum-{id.lower()}.yaml", "", {"id": id, "name": f"Fictum {id.lower()}"})


OTHER = entry("F9999")


def pair(id, similarity):
    return Pair(entry(id), OTHER, similarity, is_authored=True, is_thin=False)


def test_of_twenty_pairs_one_may_be_missed():
    values = [place / 20 for place in range(1, 21)]
    assert threshold_of(values) == 0.10
    assert threshold_of(values[:19]) == 0.05


def test_it_is_rounded_down_towards_more_pairs():
    assert threshold_of([0.5899999]) == 0.58
    assert threshold_of([0.58]) == 0.58


def test_no_pairs_propose_nothing_and_what_is_unknown_is_alike():
    assert threshold_of([]) is None
    assert threshold_of([math.nan, math.nan]) == 1.0
    assert pair("F9001", math.nan).is_alike(1.0)


@given(st.lists(SHARES, min_size=1, max_size=60))
def test_ninety_five_of_a_hundred_reach_it_and_a_higher_one_fails_them(values):
    found = threshold_of(values)
    assert sum(value >= found for value in values) >= 0.95 * len(values)
    assert sum(value >= found + 0.01 + 1e-6 for value in values) < 0.95 * len(values) or found == 1.0


@given(st.lists(SHARES, max_size=40), SHARES, SHARES)
def test_a_lower_threshold_never_lowers_recall(values, one, other):
    low, high = sorted([one, other])
    pairs = [pair("F9001", value) for value in values]
    assert sum(each.is_alike(low) for each in pairs) >= sum(each.is_alike(high) for each in pairs)


@given(st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_the_interval_is_wilsons(counts):
    """Wilson 1927, JASA 22; the reference is scipy's."""
    found, of = counts
    recall = recall_of([True] * found + [False] * (of - found))
    interval = binomtest(found, of).proportion_ci(method="wilson")
    assert (recall.found, recall.of) == counts
    assert recall.low == pytest.approx(interval.low, abs=1e-12)
    assert recall.high == pytest.approx(interval.high, abs=1e-12)


def test_each_entry_is_judged_by_the_others():
    good = [pair("F9001", value) for value in (0.8, 0.9)]
    poor = [pair("F9002", value) for value in (0.3, 0.7)]
    assert (held_out(good + poor).found, held_out(good + poor).of) == (2, 4)


@given(st.lists(SHARES, min_size=1, max_size=5))
def test_what_an_entry_lists_has_no_part_in_its_own_threshold(values):
    others = [pair("F9001", 0.4)]
    found = held_out([*others, *(pair("F9002", value) for value in values)])
    mine = sum(value >= 0.4 for value in values)
    lone = int(threshold_of(values) <= 0.4)
    assert (found.found, found.of) == (mine + lone, len(values) + 1)


def test_nobody_listed_anything(form):
    lone = Checklist([entry("F9001")])
    found = calibrated(Suspicion(lone, form, None))
    assert (found.proposed, found.in_force, found.recall.of) == (None, None, 0)
    assert not found.is_too_high
    assert calibration_figures(found)


def test_the_dataset(form, dataset, checklist):
    found = calibrated(Suspicion(checklist, form, dataset.threshold))
    edible = [each for each in checklist.entries if form.is_edible(each.verdict)]
    assert found.compared == sum(len(suspects_of(each, checklist.entries, form)) for each in edible)
    assert set(found.suggested) == {each.name for each in edible}
    assert found.recall.of > 250
    assert found.recall.found + len(found.blind) == found.recall.of
    assert found.recall.share >= 0.95
    assert not found.is_too_high
    assert {each.pair.entry.key for each in found.blind} <= {each.key for each in edible}


def test_the_order_of_entries_changes_nothing(form, dataset, checklist):
    one, other = (
        calibrated(Suspicion(Checklist(entries), form, None)) for entries in (dataset.entries, dataset.entries[::-1])
    )
    assert one.proposed == other.proposed
    assert one.held_out == other.held_out
    assert one.suggested == other.suggested
