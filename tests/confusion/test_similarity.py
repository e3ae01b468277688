"""Gower's similarity against the formula written out plainly, and the laws that it must keep. All taxa are invented."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sporeproof.confusion import similarity
from sporeproof.confusion.similarity import SIMILARITY_TABLES, at_or_above, looks_of, similarities
from sporeproof.records.entry import Entry
from sporeproof.tables.build import Facts, build
from sporeproof.tables.resolve import Checklist
from tests.confusion import reference
from tests.confusion.test_against_the_reference import full
from tests.laws import taxa as laws

WEIGHTS = {"glance": 4, "close": 3, "cut": 2, "smell": 1}
LEAST = 1
GENERA = ["Betula", "Fagus", "Pinus", "Quercus"]


def tables_of(form, values):
    """Return the tables of taxa with these values, in their order."""
    entries = [
        Entry(f"dataset/taxa/fictum-{at}.yaml", "", {"id": f"F{9001 + at}", "region": "GB", "edibility": {}, **value})
        for at, value in enumerate(values)
    ]
    return build(Facts(Checklist(entries), form, {}, []), SIMILARITY_TABLES)


def compared(form, *values):
    return similarities(tables_of(form, values), form).values


def drawn(seed, count=14):
    """Taxa with most of the catalogue recorded, some akin, some without season or hosts."""
    chance = random.Random(seed)
    values = []
    for at in range(count):
        value = {"characters": full(chance, akin=values[at // 2]["characters"] if at % 2 else None)}
        if chance.random() < 0.8:
            value["season"] = {"from": chance.randint(1, 12), "to": chance.randint(1, 12)}
        if chance.random() < 0.8:
            genera = chance.sample(GENERA, chance.randint(1, 3))
            value["hosts"] = {"usual": genera[:1], "occasional": genera[1:]}
        values.append(value)
    return values


# --- The formula, written out plainly (Gower 1971, Biometrics 27) ---


def plainly(form, values):
    everyone = [aspects(form, value) for value in values]
    spans = {}
    for id, character in form.characters.items():
        middles = [each[id] for each in everyone if character.is_measured and each[id] is not None]
        spans[id] = max(middles, default=0) - min(middles, default=0)
    return [[pair(form, one, other, spans) for other in everyone] for one in everyone]


def pair(form, one, other, spans):
    total = weights = 0.0
    for id in one:
        if one[id] is None or other[id] is None:
            continue
        weight = WEIGHTS.get(form.characters[id].seen_by, 0) if id in form.characters else LEAST
        if isinstance(one[id], float):
            alike = 1 - abs(one[id] - other[id]) / spans[id] if spans[id] else 1
        else:
            alike = len(one[id] & other[id]) / len(one[id] | other[id])
        total += weight * alike
        weights += weight
    return total / weights if weights else float("nan")


def aspects(form, value):
    """The states, the middle or None of each character, from the slow reading; the months and the genera."""
    found = {}
    for id in form.characters:
        shown = reference.appearance(form, {"characters": value["characters"], "accept_only": {}}, id)
        known = shown not in (reference.UNKNOWN, reference.OUTSIDE)
        found[id] = (sum(shown) / 2 if isinstance(shown, tuple) else shown) if known else None
    season, hosts = value.get("season"), value.get("hosts")
    found["season"] = set(turning(season["from"], season["to"])) if season else None
    found["hosts"] = {genus for genera in hosts.values() for genus in genera} if hosts else None
    return found


def turning(month, last):
    yield month
    while month != last:
        month = month % 12 + 1
        yield month


@pytest.mark.parametrize("seed", range(6))
def test_against_the_formula_written_out(form, seed):
    values = drawn(seed)
    np.testing.assert_allclose(compared(form, *values), plainly(form, values), rtol=0, atol=1e-12)


def test_against_the_formula_on_the_dataset(form, dataset):
    entries = dataset.entries[::4]
    values = [{key: each.value.get(key) for key in ("characters", "season", "hosts")} for each in entries]
    tables = build(Facts(Checklist(entries), form, {}, []), SIMILARITY_TABLES)
    found = similarities(tables, form)
    assert list(found.taxon_ids) == sorted(each.id for each in entries)
    order = [found.taxon_ids.index(each.id) for each in entries]
    np.testing.assert_allclose(found.values[np.ix_(order, order)], plainly(form, values), rtol=0, atol=1e-12)


# --- Worked by hand ---


def test_a_smell_that_fades_is_half_like_no_smell(form):
    """What smells of garlic also appears without a smell; one of two states is in common."""
    season = {"from": 9, "to": 11}
    values = compared(
        form,
        {"characters": {"smell": "garlic"}, "season": season},
        {"characters": {"smell": "none"}, "season": season},
    )
    assert values[0, 1] == (1 * 0.5 + 1 * 1) / 2


def test_the_season_wraps_over_the_end_of_the_year(form):
    values = compared(form, {"season": {"from": 11, "to": 1}}, {"season": {"from": 12, "to": 3}})
    assert values[0, 1] == 2 / 5


def test_hosts_are_compared_by_genus_however_closely_they_are_kept_to(form):
    one, other = {"hosts": {"always": ["Fagus"]}}, {"hosts": {"usual": ["Betula"], "occasional": ["Fagus"]}}
    assert compared(form, one, other)[0, 1] == 1 / 2


def test_sizes_are_compared_by_the_middle_of_the_range_as_it_is_given(form):
    """By the upper ends, to which a widened range that reaches down to 0 comes, it would be 0.6 instead of 0.5."""
    widths = ([10, 30], [40, 50], [60, 80])
    values = compared(form, *({"characters": {"cap-width": width}} for width in widths))
    assert values[0].tolist() == [1, 0.5, 0]


def test_what_is_seen_at_a_glance_weighs_four_times_as_much_as_a_smell(form):
    assert [form.characters[id].seen_by for id in ("cap-width", "smell")] == ["glance", "smell"]
    widths = ([10, 30], [60, 80])
    values = compared(form, *({"characters": {"cap-width": width, "smell": "none"}} for width in widths))
    assert values[0, 1] == (4 * 0 + 1 * 1) / 5


def test_one_size_for_all_is_no_difference(form):
    same = {"characters": {"body": "cap-and-stem", "cap-width": [10, 30]}}
    assert compared(form, same, same)[0, 1] == 1


def test_what_only_a_microscope_or_the_tongue_tells_weighs_nothing(form):
    values = compared(form, {"characters": {"spore-shape": "round"}}, {"characters": {"spore-shape": "round"}})
    assert np.isnan(values).all()


def test_where_nothing_is_known_of_both_they_count_as_alike(form):
    values = compared(form, {"characters": {"smell": "none"}}, {"season": {"from": 5, "to": 5}}, {})
    assert np.isnan(values[0, 1])
    assert np.isnan(values[2, 2])
    assert at_or_above(values, 0.9).all()
    assert at_or_above(np.array([0.4, 0.5, 0.6, np.nan]), 0.5).tolist() == [False, True, True, True]


def test_a_dataset_without_taxa(form):
    assert compared(form).shape == (0, 0)


# --- Laws ---


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(characters=st.lists(laws.taxa(), min_size=2, max_size=5))
def test_symmetric_within_bounds_and_one_to_itself(characters):
    values = compared(laws.form(), *({"characters": each} for each in characters))
    np.testing.assert_array_equal(values, values.T)
    known = values[~np.isnan(values)]
    assert ((known >= 0) & (known <= 1)).all()
    themselves = np.diagonal(values)
    assert (themselves[~np.isnan(themselves)] == 1).all()


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_taxa_changes_nothing(form, seed):
    values = drawn(seed)
    order = random.Random(seed).sample(range(len(values)), len(values))
    shuffled = compared(form, *(values[at] for at in order))
    np.testing.assert_array_equal(shuffled, compared(form, *values)[np.ix_(order, order)])


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_characters_changes_nothing(form, seed):
    ids = random.Random(seed).sample(sorted(form.characters), len(form.characters))
    shuffled = replace(form, characters={id: form.characters[id] for id in ids})
    tables = tables_of(form, drawn(seed))
    np.testing.assert_array_equal(similarities(tables, shuffled).values, similarities(tables, form).values)


@pytest.mark.parametrize("id", ["smell", "growth", "grows-from"])
def test_an_unknown_takes_no_part(form, id):
    """What is unknown of one taxon says as much of its pairs as if nobody knew it of any."""

    def without(value):
        return {**value, "characters": {key: each for key, each in value["characters"].items() if key != id}}

    values = drawn(3)
    some, none = (compared(form, without(values[0]), *rest) for rest in (values[1:], map(without, values[1:])))
    np.testing.assert_array_equal(some[0], none[0])
    assert not np.array_equal(some, none)


def test_parts_and_subsets_agree_with_the_whole(form, monkeypatch):
    tables = tables_of(form, drawn(5))
    looks, whole = looks_of(tables, form), similarities(tables, form)
    rows, columns = whole.taxon_ids[8:2:-1], whole.taxon_ids[1:13:3]
    expected = whole.values[8:2:-1, 1:13:3]
    np.testing.assert_array_equal(looks.between(rows, columns), expected)
    monkeypatch.setattr(similarity, "AT_ONCE", 1)
    np.testing.assert_array_equal(looks.between(rows, columns), expected)
    np.testing.assert_array_equal(looks.of_all(), whole.values)


def test_the_weights_stand_in_the_schema(form):
    """What is seen at a glance counts most, as engine.md 3 has it."""
    methods = form.vocabularies["methods"]
    assert {id: term.more["similarity"] for id, term in methods.items() if "similarity" in term.more} == WEIGHTS
