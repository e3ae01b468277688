"""The to-do list as people and programs read it. The taxa are invented; the catalogue is ours."""

from __future__ import annotations

import json

from sporeproof.findings import SAFETY_NOTE
from sporeproof.report.gaps_text import ASSUMED, gaps_json, gaps_text
from tests.confusion.test_gaps import CAP, EDULE, GOOD, KIN, RINGLESS, gaps_of, taxon

OBSCURE = taxon("Letale obscurum", RINGLESS)


def text(form, *entries, about=None, **more):
    return gaps_text(gaps_of(form, *entries, about=about), form, **more)


def test_the_whole_text(form):
    second = taxon("Bonum alterum", GOOD, "edible")
    young = taxon("Letale iuvenile", RINGLESS | {"gill-spacing": {"young": ["crowded"]}})
    assert text(form, EDULE, second, KIN, OBSCURE, young, taxon("Letale nudum", CAP)) == (
        "6 pairs are short in the field of what must separate an edible taxon from a suspect, 6 of them at every "
        "level.\n\n"
        "Record «Distance of the gills» (`gill-spacing`) of Letale iuvenile at the age mature: would settle 2 pairs "
        "(Bonum alterum, Bonum edule).\n\n"
        "Record «Distance of the gills» (`gill-spacing`) of Letale obscurum: would settle 2 pairs "
        "(Bonum alterum, Bonum edule).\n\n"
        "2 pairs stay open whichever single likely value is recorded, and values are missing there: two at once may "
        f"be enough, or one that turns out otherwise.\n\n{ASSUMED}\n"
    )


def test_the_lines_of_one_taxon_stand_together(form):
    edule = taxon("Bonum edule", GOOD | {"spore-print": "white"}, "edible")
    brown = taxon("Letale notum", RINGLESS | {"gill-spacing": "crowded", "spore-print": "rusty-brown"})
    mild = taxon("Aliud mite", CAP, "poisonous", syndromes=["gastrointestinal"])
    blocks = text(form, edule, brown, OBSCURE, mild).split("\n\n")
    assert [line.partition(" of ")[2].split(" of ")[-1][:10] for line in blocks[1].splitlines()] == ["Aliud mite"] * 2
    assert blocks[2].splitlines()[1] == (
        "Record «Spore print» (`spore-print`) of Letale obscurum: "
        "would settle 1 pair at the level `print` (Bonum edule)."
    )


def test_one_taxon_is_named_and_what_is_left_out_is_counted(form):
    mild = taxon("Letale mite", CAP, "poisonous", syndromes=["gastrointestinal"])
    said = text(form, EDULE, KIN, mild, about=mild, top=1)
    assert said.startswith("1 pair of Letale mite is short in the field")
    assert said.count("Record «") == 1
    assert "1 further value would settle something too" in said


def test_many_pairs_are_counted_and_the_json_names_them(form):
    edible = [taxon(f"Bonum {letter}", GOOD, "edible") for letter in "abcdefghij"]
    assert "10 pairs (Bonum a, Bonum b, Bonum c, Bonum d, Bonum e, Bonum f, Bonum g, Bonum h and 2 more)" in text(
        form, *edible, KIN, OBSCURE
    )
    asked = json.loads(gaps_json(gaps_of(form, *edible, KIN, OBSCURE), form))
    assert len(asked["gaps"][0]["settles"]["field"]) == 10


def test_nothing_open_and_nothing_missing(form):
    assert text(form, EDULE, KIN).startswith("By what is recorded, no pair is short")
    assert text(form, EDULE, KIN, about=KIN).startswith("By what is recorded, no pair of Letale notum is short")
    all_ = {id: [1, 2] if each.is_measured else next(iter(each.states)) for id, each in form.characters.items()} | CAP
    said = text(form, taxon("Bonum edule", all_, "edible"), taxon("Letale simile", all_))
    assert "1 pair stays open with nothing missing" in said
    assert "Record «" not in said


def test_it_always_says_that_the_value_was_only_assumed_and_never_which(form):
    for entries in ((EDULE, KIN), (EDULE, KIN, OBSCURE)):
        found = gaps_of(form, *entries)
        assert gaps_text(found, form).endswith(f"{ASSUMED}\n")
        assert json.loads(gaps_json(found, form))["assumed"] == ASSUMED
        assert "crowded" not in gaps_text(found, form) + gaps_json(found, form)


def test_the_whole_json(form):
    assert json.loads(gaps_json(gaps_of(form, EDULE, KIN, OBSCURE, about=EDULE), form)) == {
        "schema": 1,
        "for": {"taxon_id": "Bonum edule", "name": "Bonum edule"},
        "open": {"pairs": 1, "every_level": 1, "lacking": 0, "complete": 0},
        "total": 1,
        "gaps": [
            {
                "taxon": {"taxon_id": "Letale obscurum", "name": "Letale obscurum"},
                "character": "gill-spacing",
                "title": "Distance of the gills",
                "ages": [],
                "likely_from": "genus",
                "settles": {
                    "field": [
                        {
                            "edible": {"taxon_id": "Bonum edule", "name": "Bonum edule"},
                            "suspect": {"taxon_id": "Letale obscurum", "name": "Letale obscurum"},
                            "required": 2,
                        }
                    ],
                    "print": [],
                    "lab": [],
                },
            }
        ],
        "assumed": ASSUMED,
        "safety_note": SAFETY_NOTE,
    }


def test_top_cuts_the_json_and_says_of_how_many(form):
    asked = json.loads(gaps_json(gaps_of(form, EDULE, KIN, OBSCURE), form, top=0))
    assert (asked["for"], asked["total"], asked["gaps"]) == (None, 1, [])
