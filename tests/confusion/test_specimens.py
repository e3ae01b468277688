"""Fruitbodies drawn by lot: all that an entry allows is drawn and nothing else, and no deadly one passes in the field.

The taxa of the first parts are invented. What may be drawn is held against the plain reading in ``reference.py``.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sporeproof.confusion.appearance import appearance_of
from sporeproof.confusion.passing import let_through, level_of, passes, passing, rates
from sporeproof.confusion.proof import Item, proof
from sporeproof.confusion.proved import proofs_of
from sporeproof.confusion.separation import separating
from sporeproof.confusion.specimens import ABSENT, MISREAD, Specimens
from sporeproof.confusion.suspects import can_harm
from tests.confusion import reference
from tests.confusion.test_proof import CAP, DEADLY, EATEN, FRAIL, SPINED, TOUGH, changed, taxon

MANY = 20_000
# What neither wears nor is misread, so that a fruitbody shows what the entry says.
BAG = {"body": "cap-and-stem", "hymenophore": "gills", "volva": "sac", "gill-colour": ["white", "cream"]}


def drawn(form, characters, draws=MANY, seed=1):
    return Specimens(changed(taxon("Dubium letale", "deadly", characters), id="F9002"), form, draws, seed)


def words(form, id, codes):
    """Return the states of some places in the catalogue; those without the character are left out."""
    return {list(form.characters[id].states)[code] for code in codes if code != ABSENT}


def shown(form, specimens, id, among=slice(None)):
    return words(form, id, specimens.of(form.characters[id]).shown[among])


def read(form, specimens, id, among=slice(None)):
    return words(form, id, specimens.of(form.characters[id]).read[among])


# --- What is drawn ---


def test_each_listed_state_is_drawn_about_as_often(form):
    listed = ["chocolate-brown", "greenish", "violet"]
    assert not any(form.characters["gill-colour"].states[each].may_turn_into for each in listed)
    found = drawn(form, CAP | {"hymenophore": "gills", "gill-colour": listed})
    assert shown(form, found, "gill-colour") == set(listed)
    counts = np.unique(found.of(form.characters["gill-colour"]).shown, return_counts=True)[1]
    assert counts == pytest.approx(np.full(3, MANY / 3), rel=0.06)


def test_a_state_belongs_to_its_age(form):
    """Chocolate-brown neither turns into pink nor pink into it."""
    found = drawn(form, CAP | {"hymenophore": "gills", "gill-colour": {"young": "pink", "mature": "chocolate-brown"}})
    young, mature, old = (found.stage == at for at in range(3))
    assert shown(form, found, "gill-colour", young) == {"pink"}
    assert shown(form, found, "gill-colour", mature) == {"chocolate-brown"}
    assert shown(form, found, "gill-colour", old) == {"chocolate-brown"}, "the nearest age that is given"
    assert [0.32 < share.mean() < 0.35 for share in (young, mature, old)] == [True] * 3


def test_an_age_that_must_be_known_and_is_not_may_look_like_anything(form):
    found = drawn(form, CAP | {"hymenophore": "gills", "gill-colour": {"mature": "chocolate-brown"}})
    assert shown(form, found, "gill-colour", found.stage == 0) == form.characters["gill-colour"].states.keys()
    assert shown(form, found, "gill-colour", found.stage == 1) == {"chocolate-brown"}


def test_wear_is_drawn_and_never_undone(form):
    found = drawn(form, CAP | {"cap-surface": "warted"})
    assert shown(form, found, "cap-surface") == {"warted", "smooth"}
    assert shown(form, drawn(form, CAP | {"cap-surface": "smooth"}), "cap-surface") == {"smooth"}


@pytest.mark.parametrize(
    ("id", "state", "neighbours"),
    [
        ("gill-colour", "cream", {"white", "yellow", "tan", "grey", "pink", "salmon"}),
        ("cap-colour", "grey", {"grey-brown", "white", "cream", "green", "blue", "lilac", "black"}),
        ("hymenophore", "gills", {"maze", "ridges"}),
    ],
)
def test_a_fifth_is_read_as_a_neighbour(form, id, state, neighbours):
    """Near ones and those that beginners confuse, of which the catalogue names either on one side only."""
    character = form.characters[id]
    assert (character.states[state].near | character.states[state].like, MISREAD) == (neighbours, 1 / 5)
    found = drawn(form, CAP | {"hymenophore": "gills", id: state})
    assert shown(form, found, id) == {state}
    assert read(form, found, id) == {state} | neighbours
    both = found.of(character)
    assert (both.shown != both.read).mean() == pytest.approx(1 / 5, abs=0.015)


def test_what_is_not_recorded_may_be_anything(form):
    found = drawn(form, CAP)
    assert shown(form, found, "cap-colour") == form.characters["cap-colour"].states.keys()
    assert np.isnan(found.of(form.characters["stem-width"]).read).all()


def test_a_word_that_nobody_knows_is_not_recorded(form):
    found = drawn(form, CAP | {"cap-colour": ["white", "purpelish"]})
    assert shown(form, found, "cap-colour") == form.characters["cap-colour"].states.keys()


def test_sizes_lie_in_the_range_and_the_young_begin_at_nothing(form):
    found = drawn(form, CAP | {"stem-width": [10, 20], "spore-length": [8, 10]})
    width, length = (found.of(form.characters[id]) for id in ("stem-width", "spore-length"))
    young = found.stage == 0
    assert width.shown[young].min() < 0.1
    assert 10 <= width.shown[~young].min() < 10.1
    assert 19.9 < width.shown.max() <= 20
    assert (length.shown[young].min() >= 8, length.shown.max() <= 10) == (True, True)
    off = np.abs(width.read / width.shown - 1)
    tolerance = form.characters["stem-width"].tolerance
    assert (off > 1e-9).mean() == pytest.approx(1 / 5, abs=0.015)
    assert 0.95 * tolerance < off.max() <= tolerance + 1e-9


# --- What depends on what ---


def test_an_egg_is_drawn_as_a_whole(form):
    found = drawn(form, BAG)
    assert found.egg.sum() == pytest.approx(MANY / 6, rel=0.1)
    assert shown(form, found, "body", found.egg) == {"ball"}
    assert shown(form, found, "hymenophore", found.egg) == {"enclosed"}
    assert shown(form, found, "section", found.egg) == {"cap-outline"}
    for id in ("gill-colour", "volva", "ring", "stem-width"):
        assert (found.of(form.characters[id]).shown[found.egg] == ABSENT).all(), id
    assert (found.of(form.characters["gill-colour"]).read[found.egg] == ABSENT).all()


def test_what_has_opened_shows_no_egg(form):
    written = BAG | {"body": {"young": ["ball", "cap-and-stem"], "mature": "cap-and-stem"}, "section": "cap-outline",
                     "hymenophore": {"young": ["enclosed", "gills"], "mature": "gills"}}  # fmt: skip
    found = drawn(form, written)
    assert shown(form, found, "body", ~found.egg) == {"cap-and-stem"}
    assert shown(form, found, "gill-colour", ~found.egg) == {"white", "cream"}
    assert (found.of(form.characters["section"]).shown[~found.egg] == ABSENT).all()


def test_a_ball_on_record_whose_section_is_not_may_show_any(form):
    written = BAG | {"body": {"young": ["ball", "cap-and-stem"], "mature": "cap-and-stem"}}
    found = drawn(form, written)
    assert shown(form, found, "section", found.egg) == form.characters["section"].states.keys()


def test_without_a_volva_there_is_no_egg_and_without_knowing_there_is(form):
    assert not drawn(form, BAG | {"volva": "none"}).egg.any()
    assert drawn(form, {id: value for id, value in BAG.items() if id != "volva"}).egg.any()


def test_who_takes_a_bracket_for_a_stemmed_one_may_read_any_ring(form):
    found = drawn(form, {"body": "bracket", "ring": "absent"})
    ring = found.of(form.characters["ring"])
    supposed = found.of(form.characters["body"]).read == list(form.characters["body"].states).index("cap-and-stem")
    assert (ring.shown == ABSENT).all()
    assert words(form, "ring", ring.read) == form.characters["ring"].states.keys()
    assert ((ring.read != ABSENT) == supposed).all()


def test_what_is_drawn_of_the_deadly_is_what_the_plain_reading_says(form, dataset):
    """Every state of every appearance is drawn, worn ones and eggs included, and nothing beyond it."""
    compared = 0
    for entry in [each for each in dataset.entries if form.is_deadly(each.verdict)][::9]:
        found = Specimens(entry, form, MANY, 3)
        plain = {"characters": entry.value["characters"], "accept_only": {}}
        for id, character in form.characters.items():
            states = reference.appearance(form, plain, id)
            if isinstance(states, set):
                compared += 1
                assert shown(form, found, id) == states, (entry.name, id)
                near = states | reference.linked(character, states, "near", "like")
                own = found.of(character).shown != ABSENT
                assert read(form, found, id, own) <= near, (entry.name, id)
    assert compared > 100


# --- Chance ---


def test_the_same_seed_draws_the_same_and_another_one_does_not(form):
    one, same, other = (drawn(form, BAG, 500, seed) for seed in (1, 1, 2))
    order = list(form.characters.values())
    for character in order:
        one.of(character)
    for character in reversed(order):
        np.testing.assert_array_equal(one.of(character).read, same.of(character).read)
    colour = form.characters["gill-colour"]
    assert (one.of(colour).read != other.of(colour).read).any()


def test_taxa_have_chances_of_their_own(form):
    entries = [changed(taxon("Dubium letale", "deadly", BAG), id=id) for id in ("F9001", "F9002")]
    one, other = (Specimens(each, form, 500, 1).of(form.characters["gill-colour"]).read for each in entries)
    assert (one != other).any()


def test_the_order_of_the_entries_changes_nothing(form, dataset, checklist):
    harmful = [each for each in dataset.entries if can_harm(each, form)][:8]
    proofs = proofs_of([each for each in dataset.entries if form.is_edible(each.verdict)][:3], checklist, form)
    rows = passing(proofs, harmful, form, 300, 5)
    assert rows == passing(proofs[::-1], harmful[::-1], form, 300, 5)
    assert len({(row.entry.key, row.suspect.key) for row in rows}) == len(rows) >= 24


# --- Who passes ---


def item(form, id, *states, range=None):
    return Item(form.characters[id], states, range, 0)


def test_each_item_must_be_passed(form):
    found = drawn(form, CAP | {"ring": ["present", "absent"], "hymenophore": "gills", "spine-length": [2, 4]})
    ring = passes(found, [item(form, "ring", "present")])
    assert 0.3 < ring.mean() < 0.7
    assert passes(found, []).all()
    assert not passes(found, [item(form, "ring", "present"), item(form, "hymenophore", "spines")]).any()
    assert not passes(found, [item(form, "ring")]).any(), "nothing is accepted"
    assert passes(found, [item(form, "stem-width", range=(1, 2))]).all(), "not recorded: any size"
    deep = passes(found, [item(form, "spine-length", range=(0, 99))])
    assert not deep.any(), "what is not there cannot be read"


def test_a_size_passes_within_the_range(form):
    found = drawn(form, CAP | {"stem-width": [10, 20]})
    passed = passes(found, [item(form, "stem-width", range=(15, 99))])
    np.testing.assert_array_equal(passed, found.of(form.characters["stem-width"]).read >= 15)
    assert 0.3 < passed.mean() < 0.5


def test_a_list_that_lets_a_deadly_one_through_is_found(form):
    """Short by one item, the list of a practised picker rests on a stem that the deadly one has too."""
    eaten, deadly = changed(EATEN, id="F9001"), changed(taxon("Dubium letale", "deadly", FRAIL), id="F9002")
    good = proof(eaten, [deadly], form, missing=[])
    assert good.grade in list(form.vocabularies["grades"])[-2:]
    assert let_through(passing([good], [deadly], form), form) == []
    both = changed(deadly, characters=FRAIL | {"stem-texture": ["chalky", "fibrous"]})
    field = replace(good.lists[0], items=tuple(each for each in good.lists[0].items if each.states == ("fibrous",)))
    bad = replace(good, lists=(field, *good.lists[1:]))
    (row,) = let_through(passing([bad], [both], form), form)
    assert (row.suspect, row.entry, row.drawn) == (both, eaten, 2000)
    assert row.passed > 500
    assert rates([row], form)[0].rows == [("Fictum commune", good.grade, 2000, row.passed)]


def test_a_list_that_forgets_what_is_reported_in_its_place_is_found(form):
    """Close gills are near spaced ones: a proof that took them for apart lets the misread through."""
    eaten = changed(taxon("Fictum commune", "edible", TOUGH | {"gill-spacing": "spaced"}), id="F9001")
    deadly = changed(taxon("Dubium letale", "deadly", FRAIL | {"gill-spacing": "close"}), id="F9002")
    wrong = replace(proof(changed(eaten, characters=SPINED), [deadly], form, missing=[]), entry=eaten)
    field = replace(wrong.lists[0], items=(item(form, "gill-spacing", "spaced"),))
    (row,) = let_through(passing([replace(wrong, lists=(field, *wrong.lists[1:]))], [deadly], form), form)
    assert row.passed > 0


def test_what_is_unproven_or_not_deadly_is_told_and_stops_nothing(form):
    """Nothing is recorded of the one, so nearly all pass; the grade says so."""
    unknown = changed(taxon("Dubium ignotum", "unknown", CAP), id="F9003")
    deadly = changed(DEADLY, id="F9002")
    found = proof(changed(EATEN, id="F9001"), [unknown, deadly], form, missing=[])
    assert found.grade == "unproven"
    rows = passing([found], [unknown, deadly], form)
    assert let_through(rows, form) == []
    by_grade = rates(rows, form)[1]
    assert [row[:4] for row in by_grade.rows] == [
        ("unproven", "field", "deadly", 1),
        ("unproven", "field", "unknown", 1),
    ]
    drawn_, passed, rate = by_grade.rows[1][4:]
    assert passed > 0
    assert (rate - 1) * drawn_ < passed * 100_000 <= rate * drawn_


def test_nobody_is_a_suspect_of_itself_or_where_it_does_no_harm(form):
    eaten, harmless = changed(EATEN, id="F9001"), changed(taxon("Fictum alterum", "edible", TOUGH), id="F9004")
    found = proof(eaten, [], form, missing=[])
    assert passing([found], [eaten, harmless], form, 10) == []


def test_the_level_of_each_grade(form):
    """engine.md, 5: what each grade holds at; what is unproven is judged by what a walker would take along."""
    levels = {grade: level_of(grade, form) for grade in form.vocabularies["grades"]}
    assert levels == {
        "unproven": "field",
        "specialist": "lab",
        "with-print": "print",
        "practised": "field",
        "beginner": "field",
    }


def test_what_a_list_claims_to_rule_out_must_not_pass_whatever_its_grade(form):
    unknown = changed(taxon("Dubium ignotum", "unknown", CAP), id="F9003")
    deadly = changed(taxon("Dubium letale", "deadly", FRAIL), id="F9002")
    found = proof(changed(EATEN, id="F9001"), [unknown, deadly], form, missing=[])
    empty = replace(found, lists=tuple(replace(each, items=()) for each in found.lists))
    assert found.grade == "unproven"
    assert [(row.suspect, row.passed) for row in let_through(passing([empty], [unknown, deadly], form), form)] == [
        (deadly, 2000)
    ]


def test_no_fruitbody_is_read_as_what_is_said_to_tell_it_apart(form, dataset):
    """Character by character, since a long list hides a hole. What beginners confuse is left out: worth 1 in all."""
    edible = [appearance_of(each, form) for each in dataset.entries if form.is_edible(each.verdict)]
    tried = 0
    for entry in [each for each in dataset.entries if form.is_deadly(each.verdict)]:
        found, look = Specimens(entry, form, 500, 4), appearance_of(entry, form)
        for eaten in edible:
            told = (separating(eaten, look, character, form) for character in form.characters.values())
            for each in [contrast.character for contrast in told if contrast and not contrast.alike]:
                view = eaten.accepted(each)
                tried += 1
                passed = passes(found, [Item(each, tuple(view.states), view.range, 0)])
                assert not passed.any(), (eaten.traits.taxon_id, entry.name, each.id)
    assert tried > 1000


def test_no_deadly_fruitbody_of_the_dataset_passes_a_list_for_the_field(form, dataset, checklist):
    harmful = [each for each in dataset.entries if can_harm(each, form)]
    rows = passing(proofs_of(dataset.entries, checklist, form), harmful, form, 2000, 1)
    lists, *_ = rates(rows, form)
    assert len(lists.rows) >= 2
    assert len([each for each in harmful if form.is_deadly(each.verdict)]) >= 20
    assert [(row.entry.name, row.suspect.name, row.passed) for row in let_through(rows, form)] == []
