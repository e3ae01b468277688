"""What a taxon can look like, on both sides (engine.md, 1). The taxa are invented; the catalogue is ours."""

from __future__ import annotations

from tests.confusion.taxa import look

CAP = {"body": "cap-and-stem", "volva": "none", "hymenophore": "gills"}


def shown(form, taxon, character):
    return taxon.shown(form.characters[character])


def test_wear_belongs_to_the_other_side_only(form):
    taxon = look(form, CAP | {"ring": "present"}, {"ring": ["present"]})
    assert shown(form, taxon, "ring").states > {"present", "absent"}
    assert taxon.accepted(form.characters["ring"]).states == {"present"}


def test_what_is_near_is_reported_one_step_far(form):
    taxon = look(form, CAP | {"gill-spacing": "crowded"})
    assert taxon.reported(form.characters["gill-spacing"]) == {"crowded", "close"}


def test_a_value_by_stage_without_the_young_is_unknown(form):
    taxon = look(form, CAP | {"gill-colour": {"mature": ["pink"], "old": ["chocolate-brown"]}})
    assert shown(form, taxon, "gill-colour").status == "unknown"
    assert taxon.accepted(form.characters["gill-colour"]).status == "known"


def test_old_may_be_left_out(form):
    taxon = look(form, CAP | {"gill-colour": {"young": ["cream"], "mature": ["pink"]}})
    assert shown(form, taxon, "gill-colour").status == "known"


def test_accepted_stages_narrow_the_edible_side(form):
    colours = {"young": ["cream"], "mature": ["pink"]}
    taxon = look(form, CAP | {"gill-colour": colours}, {"stage": ["mature"]})
    assert taxon.accepted(form.characters["gill-colour"]).states == {"pink"}
    assert "cream" in shown(form, taxon, "gill-colour").states


def test_a_value_at_no_accepted_stage_is_unknown_on_the_edible_side(form):
    taxon = look(form, CAP | {"gill-colour": {"young": ["cream"], "mature": ["pink"]}}, {"stage": ["old"]})
    assert taxon.accepted(form.characters["gill-colour"]).status == "unknown"


def test_a_state_that_the_catalogue_lacks_says_nothing(form):
    taxon = look(form, CAP | {"ring": "bejewelled"})
    assert shown(form, taxon, "ring").status == "unknown"


def test_a_volva_implies_the_egg(form):
    taxon = look(form, {"body": "cap-and-stem", "volva": "sac", "hymenophore": "gills"})
    assert "ball" in shown(form, taxon, "body").states
    assert "enclosed" in shown(form, taxon, "hymenophore").states
    assert shown(form, taxon, "section").states == {"cap-outline"}


def test_a_volva_that_nobody_recorded_implies_the_egg_too(form):
    taxon = look(form, {"body": "cap-and-stem", "hymenophore": "gills"})
    assert "ball" in shown(form, taxon, "body").states


def test_no_volva_implies_no_egg(form):
    assert shown(form, look(form, CAP), "body").states == {"cap-and-stem"}
    assert shown(form, look(form, CAP), "section").status == "not-applicable"


def test_an_unknown_stays_unknown_beside_an_implication(form):
    taxon = look(form, {"body": "cap-and-stem", "volva": "sac"})
    assert shown(form, taxon, "hymenophore").status == "unknown"


def test_a_body_plan_that_is_not_known_implies_the_egg_too(form):
    for body in ({}, {"body": {"mature": ["cap-and-stem"]}}):
        taxon = look(form, body | {"volva": "sac", "hymenophore": "gills"})
        assert shown(form, taxon, "body").status == "unknown"
        assert "enclosed" in shown(form, taxon, "hymenophore").states


def test_a_section_recorded_at_some_stage_only_stays_unknown(form):
    taxon = look(form, CAP | {"volva": "sac", "section": {"young": ["uniform-white"]}})
    assert shown(form, taxon, "section").status == "unknown"


def test_a_recorded_egg_without_a_section_keeps_it_unknown(form):
    eggs = {"young": ["ball"], "mature": ["cap-and-stem"]}
    taxon = look(form, {"body": eggs, "volva": "sac", "hymenophore": "gills"})
    assert shown(form, taxon, "section").status == "unknown"


def test_outside_the_controlling_state_a_character_does_not_apply(form):
    taxon = look(form, {"body": "ball", "hymenophore": "enclosed"})
    assert shown(form, taxon, "gill-colour").status == "not-applicable"
    assert shown(form, taxon, "ring-type").status == "not-applicable"


def test_partly_inside_the_recorded_values_stand(form):
    taxon = look(form, {"body": "cap-and-stem", "volva": "sac", "hymenophore": "gills", "gill-colour": "white"})
    assert shown(form, taxon, "gill-colour").states >= {"white"}


def test_partly_inside_but_blurred_is_unknown(form):
    taxon = look(form, CAP | {"hymenophore": ["gills", "ridges", "smooth"], "gill-melting": "melting"})
    assert shown(form, taxon, "gill-melting").status == "unknown"


def test_an_unknown_controlling_character_makes_unknown(form):
    taxon = look(form, {"gill-colour": "white"})
    assert shown(form, taxon, "gill-colour").status == "unknown"


def test_the_edible_side_follows_what_it_accepts(form):
    taxon = look(form, CAP | {"ring": ["present", "absent"], "ring-type": "cottony"}, {"ring": ["absent"]})
    assert taxon.accepted(form.characters["ring-type"]).status == "not-applicable"


def test_sizes_that_grow_reach_down_to_nothing_and_are_widened(form):
    taxon = look(form, CAP | {"cap-width": {"young": [10, 30], "mature": [30, 100]}})
    low, high = shown(form, taxon, "cap-width").range
    assert (low, high) == (0, 100 * (1 + form.characters["cap-width"].tolerance))


def test_spores_do_not_grow(form):
    tolerance = form.characters["spore-length"].tolerance
    taxon = look(form, CAP | {"spore-length": [8, 10]})
    assert shown(form, taxon, "spore-length").range == (8 * (1 - tolerance), 10 * (1 + tolerance))
    assert taxon.accepted(form.characters["spore-length"]).range == (8, 10)


def test_a_size_takes_part_only_where_it_is_accepted(form):
    assert look(form, CAP | {"cap-width": [30, 100]}).accepted(form.characters["cap-width"]).range is None
    taxon = look(form, CAP | {"cap-width": [30, 100]}, {"cap-width": [60, 90]})
    assert taxon.accepted(form.characters["cap-width"]).range == (60, 90)


def test_a_size_that_is_not_recorded_at_an_accepted_stage_is_unknown(form):
    taxon = look(form, CAP | {"cap-width": {"young": [10, 30]}}, {"stage": ["mature"], "cap-width": [10, 30]})
    assert taxon.accepted(form.characters["cap-width"]).status == "unknown"
