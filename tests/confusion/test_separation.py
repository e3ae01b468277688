"""What separates two taxa (engine.md, 2). The taxa are invented; the catalogue is ours."""

from __future__ import annotations

import pytest

from sporeproof.confusion.separation import both_ways, required
from tests.confusion.taxa import apart, look, told

CAP = {"body": "cap-and-stem", "volva": "none", "hymenophore": "gills"}


def test_states_that_cannot_be_mistaken_separate(form):
    a, b = look(form, CAP | {"gill-spacing": "distant"}), look(form, CAP | {"gill-spacing": "crowded"})
    assert told(form, a, b, "gill-spacing").separates == "yes"


def test_states_that_are_near_do_not(form):
    a, b = look(form, CAP | {"gill-spacing": "close"}), look(form, CAP | {"gill-spacing": "crowded"})
    assert told(form, a, b, "gill-spacing").separates == "no"


def test_a_ring_that_can_fall_off_separates_one_way(form):
    ringed, bare = look(form, CAP | {"ring": "present"}), look(form, CAP | {"ring": "absent"})
    assert told(form, bare, ringed, "ring").separates == "no"
    assert told(form, ringed, bare, "ring").separates == "yes"
    either = look(form, CAP | {"ring": ["present", "absent"]})
    assert told(form, either, bare, "ring").separates == "one-way"


def test_accepting_only_the_ringed_makes_it_whole(form):
    either = look(form, CAP | {"ring": ["present", "absent"]}, {"ring": ["present"]})
    assert told(form, either, look(form, CAP | {"ring": "absent"}), "ring").separates == "yes"


def test_what_is_missing_on_either_side_is_unknown(form):
    known, not_known = look(form, CAP | {"ring": "present"}), look(form, CAP)
    assert told(form, known, not_known, "ring").separates == "unknown"
    assert told(form, not_known, known, "ring").separates == "unknown"


def test_nothing_accepted_never_separates(form):
    a = look(form, CAP | {"gill-spacing": "distant"}, {"gill-spacing": ["crowded"]})
    assert told(form, a, look(form, CAP | {"gill-spacing": "crowded"}), "gill-spacing").separates == "no"


def test_a_size_separates_from_below_only(form):
    large = look(form, CAP | {"cap-width": [50, 200]}, {"cap-width": [150, 200]})
    small = look(form, CAP | {"cap-width": [20, 60]}, {"cap-width": [20, 60]})
    assert told(form, large, small, "cap-width").separates == "yes"
    assert told(form, small, large, "cap-width").separates == "no"


def test_a_size_without_an_accepted_range_is_no_secret(form):
    large, small = look(form, CAP | {"cap-width": [50, 200]}), look(form, CAP | {"cap-width": [20, 60]})
    assert told(form, large, small, "cap-width").separates == "one-way"


def test_a_size_of_what_may_not_be_there_is_unknown(form):
    large, small = look(form, {"stem-width": [50, 200]}), look(form, CAP | {"stem-width": [20, 60]})
    assert told(form, large, small, "stem-width").separates == "unknown"


def test_a_size_that_leaves_out_the_young_is_not_one_way(form):
    large, small = look(form, CAP | {"cap-width": {"mature": [50, 200]}}), look(form, CAP | {"cap-width": [20, 60]})
    assert told(form, large, small, "cap-width").separates == "no"


def test_spores_separate_both_ways(form):
    small, large = look(form, CAP | {"spore-length": [4, 5]}), look(form, CAP | {"spore-length": [10, 12]})
    assert told(form, small, large, "spore-length").separates == "yes"
    assert told(form, large, small, "spore-length").separates == "yes"


def test_gills_and_ridges_are_worth_one_in_all(form):
    ridged = look(form, {"body": "cap-and-stem", "volva": "none", "hymenophore": "ridges"})
    gilled = look(form, CAP)
    contrast = told(form, ridged, gilled, "hymenophore")
    assert (contrast.separates, contrast.alike, contrast.weight) == ("yes", True, 1)
    assert apart(form, ridged, gilled) == 1


def test_one_witness_counts_once(form):
    tan = {"cap-colour": "white", "stem-colour": "white", "flesh-colour": "white"}
    black = {"cap-colour": "orange", "stem-colour": "orange", "flesh-colour": "orange"}
    assert apart(form, look(form, CAP | tan), look(form, CAP | black)) == 1


def test_smell_warns_and_never_proves(form):
    a, b = look(form, CAP | {"smell": "anise"}), look(form, CAP | {"smell": "meal"})
    assert told(form, a, b, "smell").separates == "yes"
    assert apart(form, a, b) == 0


def test_a_print_alone_speaks_for_one_fruitbody(form):
    a, b = look(form, CAP | {"spore-print": "white"}), look(form, CAP | {"spore-print": "rusty-brown"})
    assert apart(form, a, b, "print", required=2) == 0
    assert apart(form, a, b, "print", required=1) == 2
    assert apart(form, a, b, "field", required=1) == 0


def test_a_print_counts_beside_what_each_must_pass(form):
    a = look(form, CAP | {"spore-print": "white", "gill-spacing": "distant"})
    b = look(form, CAP | {"spore-print": "rusty-brown", "gill-spacing": "crowded"})
    assert apart(form, a, b, "field") == 1
    assert apart(form, a, b, "print") == 3


def test_microscope_belongs_to_the_laboratory(form):
    a = look(form, CAP | {"spore-length": [4, 5], "gill-spacing": "distant"})
    b = look(form, CAP | {"spore-length": [10, 12], "gill-spacing": "crowded"})
    assert apart(form, a, b, "print") == 1
    assert apart(form, a, b, "lab") > 1


def test_taste_is_not_in_the_catalogue(form):
    assert not [each for each in form.characters.values() if form.level_of(each) == ""]


def test_of_a_kind_both_directions_must_hold(form):
    ringed, bare = look(form, CAP | {"ring": "present"}), look(form, CAP | {"ring": "absent"})
    assert both_ways(ringed, bare, form.characters["ring"], form).separates == "no"


@pytest.mark.parametrize(
    ("verdict", "severity", "syndromes", "expected"),
    [
        ("deadly", "", ["gastrointestinal"], 2),
        ("poisonous", "", ["gastrointestinal"], 1),
        ("poisonous", "severe", ["gastrointestinal"], 2),
        ("poisonous", "", ["gastrointestinal", "autonomic-muscarine"], 2),
        ("poisonous", "", [], 2),
        ("disputed", "", ["individual-intolerance"], 1),
        ("unknown", "", [], 2),
        ("edible-with-conditions", "", [], 1),
    ],
)
def test_what_must_separate(form, verdict, severity, syndromes, expected):
    assert required(verdict, severity, syndromes, form) == expected
