"""Suspects, who is missing among them, and what is known of each: against plain readings of engine.md, 4."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from sporeproof.confusion import suspected as room
from sporeproof.confusion.likeness import Likeness
from sporeproof.confusion.pairing import paired
from sporeproof.confusion.screen import positions_of
from sporeproof.confusion.similarity import SETTING_TABLES, SIMILARITY_TABLES, aspects_of, similarities
from sporeproof.confusion.suspected import Suspicion
from sporeproof.confusion.suspects import missing, missing_of, surfaces, suspects_of
from sporeproof.form.suspects import Expected
from sporeproof.records.entry import Entry
from sporeproof.tables.build import Facts, build
from sporeproof.tables.resolve import Checklist
from tests.confusion.taxa import look_of

THRESHOLD = 0.6


def entry(id, name, verdict, characters=None, **more):
    edibility = {"verdict": verdict, **more.pop("edibility", {})}
    value = {"id": id, "name": name, "edibility": edibility, "characters": characters or {}, **more}
    return Entry(f"dataset/taxa/{name.lower().replace(' ', '-')}.yaml", "", value)


@pytest.fixture(scope="module")
def suspicion(checklist, form):
    return Suspicion(checklist, form, THRESHOLD)


def edible(checklist, form):
    return [each for each in checklist.entries if form.is_edible(each.verdict)]


def test_suspects_are_the_dangerous_the_unsettled_and_what_poisons_without_its_need(form):
    a = entry("F9001", "Fictum edule", "edible", edibility={"needs": ["cook-thoroughly", "cook-at-length"]})
    others = [
        entry(f"F91{place:02}", f"Fictum {verdict}", verdict)
        for place, verdict in enumerate(form.vocabularies["verdicts"])
    ]
    raw = entry("F9201", "Fictum crudum", "edible-with-conditions", edibility={"needs": ["cook-at-length"]})
    ink = entry("F9202", "Fictum atrum", "edible-with-conditions", edibility={"needs": ["no-alcohol", "peel-skin"]})
    found = suspects_of(a, [a, *others, raw, ink], form)
    assert [each.verdict for each in found[:-1]] == ["deadly", "poisonous", "disputed", "unknown"]
    assert found[-1] is ink


def test_two_ways_of_finding_suspects_agree(checklist, form, suspicion):
    for each in edible(checklist, form):
        mine = suspicion.of(each)
        assert {other.key for other in mine.named(mine.among)} == {
            other.key for other in suspects_of(each, checklist.entries, form)
        }


def test_the_deadly_stand_first(suspicion, form):
    verdicts = [each.verdict for each in suspicion.suspects.entries]
    assert verdicts == sorted(verdicts, key=list(form.vocabularies["verdicts"]).index)
    assert "deadly" in verdicts
    assert "unknown" in verdicts


def test_what_is_said_of_each_suspect_is_what_the_pair_alone_says(checklist, form, suspicion):
    facts = Facts(checklist, form, {}, [])
    likeness = similarities(build(facts, SIMILARITY_TABLES), form)
    place = {id: at for at, id in enumerate(likeness.taxon_ids)}
    compared = 0
    for a in edible(checklist, form)[::4]:
        mine = suspicion.of(a)
        for position in positions_of(mine.among):
            b = mine.suspects.entries[position]
            pair = paired(a, b, form, checklist)
            compared += 1
            if not pair.both_ways:
                assert mine.counts.of(position) == pair.levels[0].separators, (a.name, b.name)
            assert bool(mine.alike >> position & 1) == bool(likeness.values[place[a.key], place[b.key]] >= THRESHOLD), (
                a.name,
                b.name,
            )
            listed = {each.listed for each in pair.listings if each.listed == "authored" or each.by is a}
            assert bool(mine.authored >> position & 1) == ("authored" in listed), (a.name, b.name)
            assert bool(mine.dismissed >> position & 1) == ("dismissed" in listed), (a.name, b.name)
    assert compared > 300


def test_many_pairs_are_compared_as_few_are(checklist, form, suspicion, monkeypatch):
    monkeypatch.setattr(room, "FEW_PAIRS", 0)
    many = Suspicion(checklist, form, THRESHOLD)
    few = list(suspicion.each(checklist.entries))
    assert [each.alike for each in many.each(checklist.entries)] == [each.alike for each in few]
    assert many.kept
    assert any(each.alike for each in few)


def test_likeness_is_the_similarity(checklist, form):
    chance = random.Random(5)
    some = chance.sample(checklist.entries, 25)
    values = similarities(build(Facts(Checklist(some), form, {}, []), SIMILARITY_TABLES), form)
    place = {id: at for at, id in enumerate(values.taxon_ids)}
    tables = build(Facts(Checklist(some), form, {}, []), SETTING_TABLES)
    keys = [each.key for each in some]
    likeness = Likeness(keys, aspects_of(keys, [look_of(form, each) for each in some], tables, form))
    for one in some:
        for other in some:
            expected = float(values.values[place[one.key], place[other.key]])
            assert likeness.between(one.key, other.key) == pytest.approx(expected, abs=1e-12)


def test_nothing_known_of_both_is_alike(form):
    a, b = entry("F9001", "Fictum edule", "edible"), entry("F9002", "Fictum letale", "deadly", {"body": ["cup"]})
    mine = Suspicion(Checklist([a, b]), form, 1.0).of(a)
    assert mine.alike == mine.bare == 1
    assert Suspicion(Checklist([a, b]), form, 1.0).likeness.between(a.key, b.key) is None


def test_without_a_threshold_everything_is_alike(checklist, form):
    mine = Suspicion(checklist, form, None).of(edible(checklist, form)[0])
    assert mine.alike == mine.among


def test_who_is_asked_about_brings_only_its_own_pairs(checklist, form, suspicion):
    deadly = suspicion.suspects.entries[0]
    touched = list(suspicion.touched([deadly]))
    assert {each.entry.key for each in touched} == {each.key for each in edible(checklist, form)}
    for each in touched:
        assert not each.is_whole
        assert each.named(each.among) == [deadly]
    harmless = [each for each in checklist.entries if each.key not in suspicion.suspects.place]
    assert harmless
    assert list(suspicion.touched(harmless)) == []


def test_the_dataset_holds_whom_it_must(checklist, form):
    assert missing_of(checklist, form) == []
    assert {name for each in form.suspects.values() for name in each.taxa}


def test_a_surface_turns_into_what_it_may(form):
    spines = entry("F9001", "Fictum edule", "edible", {"body": ["tooth-mass"], "hymenophore": ["spines"]})
    assert surfaces(spines, form) == ["spines", "smooth"]
    assert surfaces(entry("F9001", "Fictum edule", "edible"), form) == list(form.suspects)


def test_what_is_missing_is_told_apart(form):
    asked = replace(form, suspects={"gills": Expected(("Fictum absens", "Fictum mite", "Fictum letale"), RECORDS)})
    a = entry("F9001", "Fictum edule", "edible", {"hymenophore": ["gills"]})
    mild = entry("F9002", "Fictum mite", "inedible", {"hymenophore": ["gills"], "ring": ["absent"]})
    letal = entry("F9003", "Fictum letale", "deadly", {"hymenophore": ["gills"], "ring": {"young": ["present"]}})
    found = missing(a, Checklist([a, mild, letal]), asked)
    assert [(each.name, each.entry, each.harmless, each.unrecorded) for each in found] == [
        ("Fictum absens", None, False, ()),
        ("Fictum mite", mild, True, ()),
        ("Fictum letale", letal, False, (("ring", "mature"),)),
    ]


RECORDS = {"young": ("hymenophore",), "mature": ("hymenophore", "ring")}
