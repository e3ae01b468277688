"""Pairs that people who teach foraging know, computed from the real entries.

Source of every row: common practice, no source. Where the dataset has no entry yet, the few traits that the row
speaks of are given here, common practice as well.
"""

from __future__ import annotations

import pytest

from sporeproof.records.entry import Entry
from tests.confusion.taxa import apart, by, look, look_of, told


@pytest.fixture
def taxon(form, checklist):
    def find(name: str):
        return look_of(form, checklist.find(name).one)

    return find


GILLED_AND_DANGEROUS = (
    "Galerina marginata", "Inocybe lilacina", "Agaricus xanthodermus", "Amanita phalloides", "Hypholoma fasciculare",
)  # fmt: skip


@pytest.mark.parametrize("dangerous", GILLED_AND_DANGEROUS)
def test_hydnum_repandum_is_told_by_its_spines(form, taxon, dangerous):
    hedgehog, other = taxon("Hydnum repandum"), taxon(dangerous)
    spines = told(form, hedgehog, other, "hymenophore")
    assert (spines.separates, spines.weight, spines.alike) == ("yes", 2, False)
    assert apart(form, hedgehog, other) >= 2


@pytest.mark.parametrize("dangerous", [*GILLED_AND_DANGEROUS, "Scleroderma citrinum"])
def test_auricularia_is_well_separated_from_everything_dangerous(form, taxon, dangerous):
    assert apart(form, taxon("Auricularia auricula-judae"), taxon(dangerous)) >= 2


@pytest.mark.parametrize("dangerous", GILLED_AND_DANGEROUS)
def test_mucidula_is_well_separated_from_everything_dangerous(form, taxon, dangerous):
    assert apart(form, taxon("Mucidula mucida"), taxon(dangerous)) >= 2


@pytest.mark.parametrize("puffball", ["Lycoperdon perlatum", "Apioperdon pyriforme"])
def test_puffballs_and_earthballs_are_told_by_the_skin_not_by_white_inside(form, taxon, puffball):
    one, earthball = taxon(puffball), taxon("Scleroderma citrinum")
    assert "uniform-white" in one.accepted(form.characters["section"]).states
    assert told(form, one, earthball, "section").separates in {"no", "one-way"}
    assert told(form, one, earthball, "skin").separates == "yes"


def test_a_giant_puffball_and_an_earthball_are_told_by_the_skin(form, taxon):
    """Calvatia gigantea: no entry yet; thin skin over an even white inside."""
    giant = look(
        form,
        {"body": "ball", "hymenophore": "enclosed", "section": "uniform-white", "skin": "thin"},
        {"section": ["uniform-white"]},
    )
    earthball = taxon("Scleroderma citrinum")
    assert told(form, giant, earthball, "section").separates == "no"
    assert told(form, giant, earthball, "skin").separates == "yes"


@pytest.mark.parametrize("written", ["with its buttons", "as if nobody had written a button"])
def test_a_puffball_and_an_amanita_egg(form, taxon, checklist, written):
    entry = checklist.find("Amanita phalloides").one
    if written != "with its buttons":
        dropped = {"section", "ball-surface", "skin"}
        grown = {id: raw for id, raw in entry.value["characters"].items() if id not in dropped}
        grown |= {"body": "cap-and-stem", "hymenophore": "gills"}
        entry = Entry(entry.file, entry.text, entry.value | {"characters": grown})
    puffball, egg = taxon("Lycoperdon perlatum"), look_of(form, entry)
    assert told(form, puffball, egg, "body").separates != "yes"
    assert told(form, puffball, egg, "section").separates == "yes"
    assert told(form, puffball, egg, "ball-surface").separates == "yes"
    assert apart(form, puffball, egg) >= 2


def test_nothing_in_the_field_tells_kuehneromyces_from_galerina(form, taxon):
    eaten, deadly = taxon("Kuehneromyces mutabilis"), taxon("Galerina marginata")
    assert apart(form, eaten, deadly, "field") == 0
    assert apart(form, eaten, deadly, "print") == 0
    for hint in ("cap-drying", "stem-surface", "smell", "growth"):
        assert told(form, eaten, deadly, hint).separates != "yes"


def test_laccaria_is_told_from_the_lilac_fibrecap_by_gills_and_stem(form, taxon):
    eaten, poisonous = taxon("Laccaria amethystina"), taxon("Inocybe lilacina")
    assert {"gill-spacing", "stem-texture"} <= by(form, eaten, poisonous)
    assert apart(form, eaten, poisonous) >= 2


def test_gill_colour_tells_them_in_mature_ones_only(form, taxon, checklist):
    """Over all stages it is one-way: deep violet gills are never the fibrecap's, pale ones may be."""
    entry = checklist.find("Laccaria amethystina").one
    edibility = {key: value for key, value in entry.value["edibility"].items() if key != "accept_only"}
    any_of_it = look_of(form, Entry(entry.file, entry.text, entry.value | {"edibility": edibility}))
    assert told(form, any_of_it, taxon("Inocybe lilacina"), "gill-colour").separates == "one-way"


def test_field_mushroom_and_yellow_stainer_are_told_thinly_by_the_stain(form, taxon):
    eaten, poisonous = taxon("Agaricus campestris"), taxon("Agaricus xanthodermus")
    stain = told(form, eaten, poisonous, "flesh-change")
    assert (stain.separates, stain.weight) == ("yes", 1)
    assert "fresh" in stain.character.read_when
    assert apart(form, eaten, poisonous) == 1


def test_field_mushroom_and_a_white_death_cap(form, taxon):
    eaten, deadly = taxon("Agaricus campestris"), taxon("Amanita phalloides")
    assert "white" in deadly.shown(form.characters["cap-colour"]).states
    separating = by(form, eaten, deadly)
    assert "gill-colour" in separating
    assert separating & {"stem-base", "volva"}
    assert apart(form, eaten, deadly) >= 2


def test_pale_gilled_buttons_would_undo_the_gill_colour(form, checklist, taxon):
    entry = checklist.find("Agaricus campestris").one
    edibility = {key: value for key, value in entry.value["edibility"].items() if key != "accept_only"}
    any_of_it = look_of(form, Entry(entry.file, entry.text, entry.value | {"edibility": edibility}))
    assert told(form, any_of_it, taxon("Amanita phalloides"), "gill-colour").separates != "yes"


def test_honey_fungus_and_galerina_are_told_thinly_in_the_field_and_well_with_a_print(form, taxon):
    eaten, deadly = taxon("Armillaria mellea"), taxon("Galerina marginata")
    assert apart(form, eaten, deadly, "field") == 1
    assert apart(form, eaten, deadly, "print") >= 2


def test_honey_fungus_and_sulphur_tuft_are_told_by_ring_and_print(form, taxon):
    assert {"ring", "spore-print"} <= by(form, taxon("Armillaria mellea"), taxon("Hypholoma fasciculare"))


def test_the_ring_tells_coprinus_from_coprinopsis_and_the_cap_does_not_in_buttons(form):
    """Coprinus comatus and Coprinopsis picacea: no entries yet. The magpie's patches come only as the cap grows."""
    stem = {"body": "cap-and-stem", "volva": "none", "hymenophore": "gills"}
    shaggy = look(form, stem | {"ring": "present", "cap-surface": {"young": ["smooth"], "mature": ["shaggy"]}})
    magpie = look(form, stem | {"ring": "absent", "cap-surface": {"young": ["smooth"], "mature": ["veil-patches"]}})
    assert told(form, shaggy, magpie, "ring").separates == "yes"
    assert told(form, shaggy, magpie, "cap-surface").separates != "yes"


@pytest.mark.parametrize(
    ("character", "eaten", "other", "fields"),
    [
        ("hymenophore", "ridges", "gills", {"body": "cap-and-stem", "volva": "none"}),
        ("body", "honeycomb", "brain", {"hymenophore": "pits"}),
    ],
    ids=["Cantharellus cibarius / Omphalotus", "Morchella / Gyromitra"],
)
def test_what_beginners_confuse_is_worth_one_in_all(form, character, eaten, other, fields):
    """No entries yet: the one contrast that the row speaks of."""
    a, b = look(form, fields | {character: eaten}), look(form, fields | {character: other})
    contrast = told(form, a, b, character)
    assert (contrast.separates, contrast.weight, contrast.alike) == ("yes", 1, True)
    assert apart(form, a, b) == 1
