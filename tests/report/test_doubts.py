"""What is not ruled out, as people and programs read it. The taxa are invented; the catalogue is ours."""

from __future__ import annotations

import json

import pytest

from sporeproof.confusion.doubt import doubt
from sporeproof.confusion.observation import observe
from sporeproof.report.doubts import doubt_json, doubt_text
from tests.confusion.test_doubt import CAP, GILLED, answered, taxon

RING = CAP | {"ring": "present", "gill-spacing": "crowded", "stem-texture": "fibrous"}


def text(form, words, *entries, **more):
    return doubt_text(answered(form, words, *entries, **more), form)


def asked(form, words, *entries, **more):
    return json.loads(doubt_json(answered(form, words, *entries, **more), form))


def test_the_whole_text_for_a_find(form):
    one = taxon("F9001", RING, "deadly")
    two = taxon("F9002", RING | {"gill-spacing": "distant", "volva": "sac"}, "poisonous")
    three = taxon("F9003", CAP | {"ring": "absent", "gill-spacing": "distant"}, "disputed")
    four = taxon("F9004", RING, "edible")
    said = text(
        form, [*GILLED, "ring=present", "gill-spacing=close", "volva=none", "smell=meal"], one, two, three, four
    )
    assert said == (
        "This answer names nothing. It knows the 4 taxa of this dataset alone, and most fungi are not among them: "
        "what it does not list may still be in your hand. Nothing here allows eating.\n\n"
        "What was seen of one fruitbody\n"
        "  Body plan: cap-and-stem.\n"
        "  Fertile surface: gills.\n"
        "  Ring on the stem: present.\n"
        "  Distance of the gills: close.\n"
        "  Volva: none. It counts only so: the whole base has been lifted out of the ground or wood, "
        "not cut or snapped.\n"
        "  Smell: meal. It warns and proves nothing.\n"
        "  Stage: not said, so all are allowed for.\n\n"
        "Not ruled out, dangerous or unsettled: 1\n"
        "  Fictum f9001  deadly\n\n"
        "Not ruled out either, which does not make it one of them: 1\n"
        "  Fictum f9004\n\n"
        "Look next at: How the stem bends or breaks (`stem-texture`), close up\n"
        "  Only so: it is freshly gathered, neither old nor cold nor frosted nor dried.\n"
        "  fibrous: It breaks into fibres\n"
        "  tough: It can be bent and twisted without a break\n"
        "  woody: Hard like a twig\n"
        "  brittle: It cracks or crushes easily\n"
        "  chalky: It snaps across like chalk without fibres\n\n"
        "Ruled out if all readings are right: 2\n"
        "  By distance of the gills and volva: Fictum f9002 (poisonous)\n"
        "  By ring on the stem and distance of the gills: Fictum f9003 (disputed)\n"
    )


def test_one_thing_against_a_dangerous_one_says_what_was_seen_and_what_it_shows(form):
    said = text(form, [*GILLED, "ring=present"], taxon("F9001", CAP | {"ring": ["cobweb", "absent"]}))
    assert "Probably not, because of one thing; one slip, and it is dangerous or unsettled: 1\n" in said
    assert "  Fictum f9001  deadly  ring on the stem present, there cobweb, absent\n" in said


def test_a_size_is_told_with_its_unit_and_what_it_is_held_against(form):
    said = text(form, ["cap-width=100..120"], taxon("F9001", CAP | {"cap-width": [10, 50]}))
    assert "Width of the cap or of the whole fruitbody: 100 to 120 mm." in said
    assert "width of the cap or of the whole fruitbody 100 to 120 mm, there up to 60" in said


def test_nothing_fits(form):
    said = text(form, [*GILLED, "ring=present"], taxon("F9001", CAP | {"ring": "absent"}))
    assert "Nothing in this dataset fits all that was seen. Do not eat it." in said
    assert "No taxon here shows `ring=present`: look again." in said


def test_where_nothing_fits_nobody_is_told_that_nothing_dangerous_is_left(form):
    said = text(form, [*GILLED, "ring=present", "volva=sac"], taxon("F9001", CAP | {"ring": "absent"}))
    assert "or a reading is wrong, and then what is ruled out below may not be." in said
    assert "Fictum f9001 (deadly)" in said
    assert "Nothing dangerous of this dataset is left" not in said


def test_nothing_dangerous_left_is_no_leave_to_eat(form):
    said = text(form, ["body=cap-and-stem", "hymenophore=spines"], taxon("F9001", {"hymenophore": "spines"}, "edible"))
    assert "Nothing dangerous of this dataset is left. That is no reason to eat it" in said
    assert "No look is left that would speak against anything dangerous of this dataset." in said


@pytest.mark.parametrize("verdict", ["edible", "edible-with-conditions", "inedible"])
def test_a_verdict_that_is_no_warning_is_not_told(form, verdict):
    said = text(form, GILLED, taxon("F9001", CAP, verdict), taxon("F9002", {"body": "ball"}, verdict))
    assert "edible" not in said


def test_a_taxon_without_a_verdict_is_feared(form):
    assert "Not ruled out, dangerous or unsettled: 1\n  Fictum f9001  no verdict\n" in text(
        form, GILLED, taxon("F9001", CAP, "")
    )


def test_it_never_says_what_a_find_is(form):
    """One taxon that stands alone is listed, not named."""
    said = text(form, GILLED, taxon("F9001", CAP, "edible"))
    assert said.startswith("This answer names nothing. It knows the 1 taxon of this dataset alone")
    assert "which does not make it one of them: 1\n  Fictum f9001\n" in said


def test_what_takes_no_part_is_said_and_what_to_settle(form):
    said = text(form, ["volva=none"], taxon("F9001", CAP))
    assert "Volva: none. Takes no part until `body` is settled." in said
    assert "Look next at: Body plan (`body`), at a glance\n  Until it is settled, `volva` cannot count.\n" in said


def test_a_print_speaks_for_one(form):
    said = text(form, [*GILLED, "spore-print=white"], taxon("F9001", CAP))
    assert "Spore print: white. It speaks for this one alone, and counts only beside something" in said


def test_stage_and_what_cannot_be_seen_are_told(form):
    said = text(form, [*GILLED, "stage=mature,young"], taxon("F9001", CAP), cannot_see=["volva"])
    assert "Stage: young or mature. The stages beside it are allowed for" in said
    assert "Cannot be seen: Volva. What only that would rule out stays below." in said


def test_one_reading_that_rules_all_out_is_told_as_alone(form):
    said = text(form, ["hymenophore=spines"], taxon("F9001", CAP))
    assert (
        "Ruled out if all readings are right: 1\n  By fertile surface alone, so look twice: Fictum f9001 (deadly)\n"
        in said
    )


def test_warnings_are_told(form):
    entry = taxon("F9001", CAP, season={"from": 9, "to": 11}, region="GB")
    assert "March lies outside the season recorded here of Fictum f9001." in text(form, GILLED, entry, month=3)


def test_what_cannot_be_answered_rules_nothing_out(form):
    said = text(form, ["body=ball", "ring=present"], taxon("F9001", CAP))
    assert said == (
        "What was given cannot be answered, so nothing is ruled out:\n"
        "  `ring` cannot be seen where `body=ball`: one of the two is wrong or of another fruitbody.\n"
    )


# The contract.


def test_the_keys_of_the_contract(form):
    told = asked(form, [*GILLED, "ring=present", "stage=old"], taxon("F9001", RING | {"ring": "absent"}), month=1)
    assert list(told) == [
        "schema", "unclear", "fits", "seen", "stage", "cannot_see", "standings", "next", "clashes", "warnings",
    ]  # fmt: skip
    assert told["schema"] == 1
    assert told["stage"] == ["old"]
    assert told["seen"][2] == {
        "character": "ring", "is": ["present"], "counts": True, "waits_for": "", "weight": 1, "level": "field",
    }  # fmt: skip
    assert told["standings"] == [
        {
            "taxon_id": "F9001", "name": "Fictum f9001", "verdict": "deadly", "dangerous": True,
            "standing": "one-thing", "separators": 1,
            "against": [{"character": "ring", "seen": ["present"], "shows": ["absent"], "weight": 1}],
        }
    ]  # fmt: skip
    assert told["fits"] is False
    assert told["clashes"] == [["ring"]]
    assert sorted(told["next"]) == ["character", "cost", "left", "opens"]


def test_a_size_stands_as_low_and_high_and_what_waits_says_for_what(form):
    told = asked(form, ["cap-width=40", "ring=absent"], taxon("F9001", CAP | {"cap-width": [10, 20]}))
    assert [(each["is"], each["waits_for"]) for each in told["seen"]] == [(["absent"], "body"), ([40.0, 40.0], "")]
    assert told["standings"][0]["against"][0]["shows"] == [0.0, 24.0]


def test_unclear_input_is_told_alone(form):
    told = asked(form, ["rng=absent", "cap-width=40", "stage=yung"], taxon("F9001", CAP), cannot_see=["vulva"])
    assert len(told.pop("unclear")) == 3
    assert told == {
        "schema": 1, "fits": False, "seen": [], "stage": [], "cannot_see": [],
        "standings": [], "next": None, "clashes": [], "warnings": [],
    }  # fmt: skip


# The real dataset.


@pytest.mark.parametrize("character", ["ring", "spore-length"])
def test_every_word_of_the_catalogue_can_be_told(form, checklist, character):
    known = form.characters[character]
    for state in known.states or ["8..10"]:
        answer = doubt(observe([*GILLED, f"{character}={state}"], form), checklist, form)
        said = doubt_text(answer, form)
        assert not [each for each in ("None", "frozenset", "{", "edible") if each in said]
        assert json.loads(doubt_json(answer, form))["standings"]
