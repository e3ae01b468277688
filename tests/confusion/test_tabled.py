"""The engine's columns of the release tables, against what a pair alone comes to."""

from __future__ import annotations

import pytest

from sporeproof.confusion.pairing import paired
from sporeproof.confusion.suspected import Suspicion
from sporeproof.confusion.tabled import with_pairs
from sporeproof.tables.build import Facts, build
from sporeproof.tables.faults import faults, frames


@pytest.fixture(scope="module")
def tables(form, dataset, checklist):
    facts = Facts(checklist, form, {}, [])
    built = build(facts, ["taxa", "confusions", "distinctions", "catalogue"])
    return with_pairs(built, checklist, form, Suspicion(checklist, form, dataset.threshold))


def test_rows_are_what_the_pair_alone_says(form, checklist, tables):
    told = {}
    for taxon_id, other_id, id, claimed, separates in tables["distinctions"]:
        told.setdefault((taxon_id, other_id), {})[id] = claimed, separates
    seen = set()
    for taxon_id, other_id, listed, *_, required, separators, similarity in tables["confusions"][::23]:
        one, other = checklist.by_key[taxon_id], checklist.by_key[other_id]
        pair = paired(one, other, form, checklist)
        seen.add(listed)
        assert 0 <= similarity <= 1
        if separators is not None and not pair.both_ways:
            assert (required, separators) == (pair.levels[0].required, pair.levels[0].separators)
        for row in pair.rows:
            claimed, separates = told.get((taxon_id, other_id), {}).get(row.character.id, (False, None))
            assert separates in {row.separates, None}
            assert (separates is None) == (not claimed and row.separates not in {"yes", "one-way"})
    assert seen >= {"authored", "computed"}


def test_every_computed_pair_is_there_and_on_the_edible_side(form, dataset, checklist, tables):
    there = {row[:2]: row[2] for row in tables["confusions"]}
    for each in Suspicion(checklist, form, dataset.threshold).each(checklist.entries):
        for other in each.named(each.computed):
            assert there[each.entry.key, other.key] in {"authored", "dismissed", "computed"}
    for (taxon_id, _), listed in there.items():
        if listed == "computed":
            assert form.is_edible(checklist.by_key[taxon_id].verdict)


def test_rows_keep_to_their_tables(form, tables):
    found = faults(frames(tables, form), form)
    assert [each for each in found if each.table in {"confusions", "distinctions"}] == []
