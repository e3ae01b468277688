"""What is not ruled out by what was seen (engine.md, 6). The taxa are invented; the catalogue is ours."""

from __future__ import annotations

import pytest

from sporeproof.confusion.doubt import EXCLUDED, ONE_THING, STANDS, doubt
from sporeproof.confusion.observation import observe
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist

CAP = {"body": "cap-and-stem", "volva": "none", "hymenophore": "gills"}
GILLED = ("body=cap-and-stem", "hymenophore=gills")


def taxon(id, characters, verdict="deadly", **more):
    value = {"id": id, "name": f"Fictum {id.lower()}", "characters": characters, "edibility": {"verdict": verdict}}
    return Entry(f"dataset/taxa/{id.lower()}.yaml", "", value | more)


def answered(form, words, *entries, cannot_see=(), **more):
    return doubt(observe(words, form, cannot_see=cannot_see), Checklist(entries), form, **more)


def standing(form, words, characters):
    """The word for a lone taxon with these characters."""
    (only,) = answered(form, words, taxon("F9001", characters)).standings
    return only.word


# What was seen.


def test_an_observation_holds_states_sizes_and_the_stage(form):
    seen = observe(["Gill-Colour=white,cream", "cap-width=40..60", "stem-length=80", "stage=young"], form)
    assert seen.unclear == []
    assert seen.states == {"gill-colour": {"white", "cream"}}
    assert seen.ranges == {"cap-width": (40, 60), "stem-length": (80, 80)}
    assert seen.stages == {"young"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["gill-color=white"], "Did you mean `gill-colour`?"),
        (["hat=red"], "There is no character `hat`."),
        (["bruise=blue"], "Near it are: gill-bruise, pore-bruise."),
        (["ring=presnt"], "`presnt` is no state of `ring`. Did you mean `present`?"),
        (["ring=there"], "It may be: present, zone, cobweb, absent."),
        (["ring"], "`ring` lacks what was seen of it."),
        (["ring="], "`ring` lacks what was seen of it."),
        (["gill-colour=white,"], "A state is missing in `gill-colour=white,`."),
        (["ring=present", "ring=absent"], "`ring` is given twice: present and absent."),
        (["gill-colour=white,white"], "`white` is given twice in `gill-colour=white,white`"),
        (["stage=young", "stage=old"], "`stage` is given twice: young and old."),
        (["stage=yung"], "`yung` is no state of `stage`. Did you mean `young`?"),
        (["stage="], "`stage` lacks its word."),
        (["cap-width=large"], "`large` is no size for `cap-width`."),
        (["cap-width=6cm"], "Write a number in mm or two"),
        (["cap-width=60..40"], "the smaller one comes first"),
        (["cap-width=0"], "a size is above zero"),
        (["body=ball", "ring=present"], "`ring` cannot be seen where `body=ball`"),
        (["ring=absent", "ring-type=double"], "`ring-type` cannot be seen where `ring=absent`"),
        (["body=ball", "ring-type=double"], "`ring-type` cannot be seen where `body=ball`"),
        ([], "Say at least one thing that was seen"),
        (["stage=young"], "Say at least one thing that was seen"),
    ],
)
def test_what_cannot_be_understood_or_be_true_is_said_to_be_so(form, words, said):
    answer = answered(form, words, taxon("F9001", CAP))
    assert [each for each in answer.observation.unclear if said in each]
    assert answer.standings == ()
    assert answer.next_look is None


def test_all_that_is_wrong_is_said_at_once(form):
    unclear = observe(["rng=absent", "cap-width=large", "gill-colour=blue"], form, cannot_see=["vulva"]).unclear
    assert len(unclear) == 4
    assert "Did you mean `volva`?" in unclear[-1]


def test_one_slip_of_the_pen_is_not_called_a_contradiction_too(form):
    assert len(observe(["body=bal", "ring=present"], form).unclear) == 1


def test_what_is_seen_can_be_seen(form):
    (said,) = observe(["volva=none", "body=cap-and-stem"], form, cannot_see=["volva"]).unclear
    assert "cannot be seen: which is it?" in said


def test_the_option_for_the_stage_says_the_same(form):
    assert observe(["body=ball"], form, stage="young").stages == {"young"}
    assert observe(["body=ball", "stage=old"], form, stage="young").unclear


# How a taxon stands.


def test_none_one_and_two_things_against_it(form):
    firm = ("gill-spacing=distant", "stem-texture=chalky")
    other = CAP | {"gill-spacing": "crowded", "stem-texture": "fibrous"}
    assert standing(form, GILLED, other) == STANDS
    assert standing(form, [*GILLED, firm[0]], other) == ONE_THING
    assert standing(form, [*GILLED, *firm], other) == EXCLUDED


def test_one_decisive_thing_excludes_unless_beginners_confuse_it(form):
    assert standing(form, ["body=cap-and-stem", "hymenophore=spines"], CAP) == EXCLUDED
    assert standing(form, ["body=cap-and-stem", "hymenophore=ridges"], CAP) == ONE_THING


def test_smell_never_excludes(form):
    (only,) = answered(form, ["smell=anise"], taxon("F9001", CAP | {"smell": "meal"})).standings
    assert (only.word, [each.weight for each in only.against]) == (STANDS, [0])


def test_what_is_not_recorded_stands(form):
    assert standing(form, [*GILLED, "gill-spacing=distant", "stem-texture=chalky"], CAP) == STANDS
    assert standing(form, GILLED, {}) == STANDS


def test_two_states_that_one_cannot_tell_apart_exclude_less(form):
    other = CAP | {"gill-spacing": "crowded", "stem-texture": "fibrous"}
    unsure = [*GILLED, "gill-spacing=crowded,distant", "stem-texture=chalky"]
    assert standing(form, unsure, other) == ONE_THING


def test_a_print_counts_only_beside_what_each_must_pass(form):
    other = CAP | {"spore-print": "white", "gill-spacing": "crowded"}
    assert standing(form, [*GILLED, "spore-print=rusty-brown"], other) == STANDS
    assert standing(form, [*GILLED, "spore-print=rusty-brown", "gill-spacing=distant"], other) == EXCLUDED


def test_a_large_one_is_not_a_small_kind_and_a_small_one_may_be_any(form):
    small, large = CAP | {"cap-width": [10, 30]}, CAP | {"cap-width": [100, 300]}
    assert standing(form, ["cap-width=120"], small) == ONE_THING
    assert standing(form, ["cap-width=20..120"], small) == STANDS
    assert standing(form, ["cap-width=10"], large) == STANDS


def test_what_depends_on_the_body_waits_until_the_body_is_known(form):
    """Everybody sees no volva on a ball; that shall not speak against an egg."""
    sac = {"body": "cap-and-stem", "hymenophore": "gills", "volva": "sac"}
    assert observe(["volva=none"], form).waits == {"volva": "body"}
    assert standing(form, ["volva=none"], sac) == STANDS
    assert standing(form, ["volva=none", "body=ball,cap-and-stem"], sac) == STANDS
    assert standing(form, ["volva=none", "body=cap-and-stem"], sac) == ONE_THING
    assert observe(["ring-type=double"], form).waits == {"ring-type": "body"}
    assert observe(["ring-type=double", "body=cap-and-stem"], form).waits == {"ring-type": "ring"}


def test_an_egg_may_be_what_nobody_wrote_an_egg_for(form):
    assert standing(form, ["body=ball"], {"body": "cap-and-stem", "hymenophore": "gills", "volva": "sac"}) == STANDS


def test_the_stage_leaves_out_what_is_not_beside_it(form):
    colours = {"young": ["white"], "mature": ["white"], "old": ["black"]}
    words = [*GILLED, "gill-colour=black"]
    assert standing(form, words, CAP | {"gill-colour": colours}) == STANDS
    assert standing(form, [*words, "stage=mature"], CAP | {"gill-colour": colours}) == STANDS
    assert standing(form, [*words, "stage=young"], CAP | {"gill-colour": colours}) == ONE_THING


@pytest.mark.parametrize("colours", [{"young": ["white"]}, {"mature": ["white"], "old": ["white"]}])
def test_a_stage_makes_nothing_known_that_was_not(form, colours):
    assert standing(form, [*GILLED, "gill-colour=black", "stage=young"], CAP | {"gill-colour": colours}) == STANDS


def test_dangerous_ones_come_first_then_by_verdict_and_name(form):
    verdicts = ["edible", "unknown", "deadly", "inedible", "disputed", "poisonous", "deadly"]
    entries = [taxon(f"F900{number}", CAP, verdict) for number, verdict in enumerate(verdicts)]
    order = [each.entry.key for each in answered(form, GILLED, *entries).standings]
    assert order == ["F9002", "F9006", "F9005", "F9004", "F9001", "F9003", "F9000"]


def test_a_verdict_that_nobody_knows_stands_before_all(form):
    entries = [taxon("F9001", CAP, "deadly"), taxon("F9002", CAP, "")]
    assert [each.entry.key for each in answered(form, GILLED, *entries).standings] == ["F9002", "F9001"]


# Nothing fits.


def test_a_reading_that_no_taxon_shows_is_named(form):
    answer = answered(form, [*GILLED, "ring=present", "gill-spacing=distant"], taxon("F9001", CAP | {"ring": "absent"}))
    assert not answer.fits
    assert answer.clashes == (("ring",),)


def test_readings_that_no_taxon_shows_together_are_named(form):
    ringed = CAP | {"ring": "present", "gill-spacing": "crowded"}
    bare = CAP | {"ring": "absent", "gill-spacing": "distant"}
    answer = answered(
        form, [*GILLED, "ring=present", "gill-spacing=distant"], taxon("F9001", ringed), taxon("F9002", bare)
    )
    assert not answer.fits
    assert [set(each) for each in answer.clashes] == [{"ring", "gill-spacing"}]


def test_where_something_fits_no_reading_is_blamed(form):
    answer = answered(form, GILLED, taxon("F9001", CAP), taxon("F9002", {"body": "ball"}))
    assert (answer.fits, answer.clashes) == (True, ())


# What to look at next.


def test_what_others_wait_for_comes_first(form):
    look = answered(form, ["ring=absent", "volva=none"], taxon("F9001", CAP)).next_look
    assert (look.character.id, look.opens) == ("body", ("ring", "volva"))


def test_the_next_look_halves_the_doubt_at_the_least_cost(form):
    """Breaking the stem tells as much as cutting the flesh, and is cheaper."""
    one = CAP | {"stem-texture": "chalky", "flesh-change": "none"}
    other = CAP | {"stem-texture": "tough", "flesh-change": "blue"}
    entries = [taxon("F9001", one), taxon("F9002", other)]
    look = answered(form, [*GILLED, "volva=none"], *entries).next_look
    assert (look.character.id, look.cost) == ("stem-texture", 2)
    assert look.left == pytest.approx(0.75)  # of two that stand, one gets one of the two things it needs
    look = answered(form, [*GILLED, "volva=none"], *entries, cannot_see=["stem-texture"]).next_look
    assert look.character.id == "flesh-change"


def red_among_black(number):
    """So many taxa with one thing against each of them; one stem is red, and a fourth of them has each print."""
    prints = ["white", "black", "rusty-brown", "clay"]
    return [
        taxon(
            f"F{9000 + at}",
            CAP | {"spore-print": prints[at % 4], "gill-spacing": "crowded", "stem-colour": "black" if at else "red"},
        )
        for at in range(number)
    ]


@pytest.mark.parametrize(("number", "named"), [(4, "stem-colour"), (20, "spore-print")])
def test_a_dear_look_is_named_only_where_cheap_ones_take_more(form, number, named):
    words = [*GILLED, "volva=none", "gill-spacing=distant"]
    assert answered(form, words, *red_among_black(number)).next_look.character.id == named


def test_only_dangerous_ones_ask_for_a_look(form):
    one, other = CAP | {"stem-texture": "chalky"}, CAP | {"stem-texture": "tough"}
    assert answered(form, GILLED, taxon("F9001", one, "edible"), taxon("F9002", other, "edible")).next_look is None
    assert answered(form, GILLED, taxon("F9001", one, "unknown"), taxon("F9002", other, "edible")).next_look


def test_a_look_that_saves_nothing_is_not_named(form):
    alike = CAP | {"stem-texture": ["fibrous", "tough", "brittle"], "gill-spacing": ["crowded", "close", "spaced"]}
    entries = [taxon(f"F900{at}", alike) for at in range(3)]
    assert answered(form, [*GILLED, "volva=none", "stem-colour=red"], *entries).next_look is None


def test_a_look_at_a_lone_taxon_is_named_since_the_find_may_be_something_else(form):
    look = answered(form, [*GILLED, "volva=none"], taxon("F9001", CAP | {"stem-texture": "chalky"})).next_look
    assert look.character.id == "stem-texture"
    assert look.left == pytest.approx(1 - 0.5 * 0.5 * 3 / 5)  # three of five states speak against it


def test_nothing_that_proves_nothing_is_suggested(form):
    entries = [taxon("F9001", CAP | {"smell": "anise"}), taxon("F9002", CAP | {"smell": "meal"})]
    assert answered(form, [*GILLED, "volva=none"], *entries).next_look is None


def test_what_may_never_be_suggested_is_not(form):
    """The catalogue has nothing that is tasted; should it ever, it is not suggested."""
    from dataclasses import replace

    tasted = replace(form.characters["stem-texture"], seen_by="taste")
    tasting = replace(form, characters=form.characters | {"stem-texture": tasted})
    entries = [taxon("F9001", CAP | {"stem-texture": "chalky"}), taxon("F9002", CAP | {"stem-texture": "tough"})]
    assert answered(form, [*GILLED, "volva=none"], *entries).next_look
    assert answered(tasting, [*GILLED, "volva=none"], *entries).next_look is None


def test_every_method_but_tasting_has_its_cost(form):
    """engine.md, 5."""
    costs = {id: term.more.get("cost") for id, term in form.vocabularies["methods"].items()}
    assert costs == {
        "glance": 1, "close": 2, "cut": 3, "smell": 3, "taste": None,
        "spore-print": 6, "uv-lamp": 20, "reagent": 20, "microscope": 100,
    }  # fmt: skip


# Season and region.


def test_month_and_region_warn_and_exclude_nothing(form):
    autumn = taxon("F9001", CAP, season={"from": 9, "to": 11}, region="GB")
    winter = taxon("F9002", CAP, season={"from": 11, "to": 3}, region="FR")
    unsaid = taxon("F9003", CAP)
    answer = answered(form, GILLED, autumn, winter, unsaid, region="GB-SCT", month=2)
    assert {each.word for each in answer.standings} == {STANDS}
    season, region, others = answer.warnings
    assert season.startswith("February lies outside the season recorded here of Fictum f9001.")
    assert "nothing is recorded here of 2 of the 3" in region
    assert others == "What else grows in GB-SCT and harms, this dataset may not know."
    assert answered(form, GILLED, autumn, region="GB").warnings == (
        "What else grows in GB and harms, this dataset may not know.",
    )
    assert answered(form, GILLED, autumn, winter, month=11).warnings == ()
