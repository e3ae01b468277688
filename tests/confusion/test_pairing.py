"""A pair side by side: sides, reasons, figures and lists. The taxa are invented; the catalogue is ours."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sporeproof.confusion.pairing import Comparison, Row, paired
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist
from tests.confusion import reference
from tests.laws.taxa import form as the_form
from tests.laws.taxa import narrowings, taxa

CAP = {"body": "cap-and-stem", "volva": "none", "hymenophore": "gills"}


def entry(name: str, verdict: str, characters: dict[str, Any] | None = None, **more: Any) -> Entry:
    """An invented entry; what `more` says of edibility goes there."""
    edibility = {"verdict": verdict} | {
        key: more.pop(key) for key in ("accept_only", "syndromes", "severity") if key in more
    }
    value = {"id": "new", "name": name, "edibility": edibility, "characters": characters or CAP, **more}
    return Entry(f"dataset/taxa/{name.lower().replace(' ', '-')}.yaml", "", value)


def eaten(characters: dict[str, Any] | None = None, **more: Any) -> Entry:
    return entry("Fictum bonum", "edible", characters, **more)


def deadly(characters: dict[str, Any] | None = None, **more: Any) -> Entry:
    return entry("Fictum malum", "deadly", characters, **more)


def row(pair: Comparison, id: str) -> Row:
    return next(each for each in pair.rows if each.character.id == id)


def at(pair: Comparison, level: str):
    return next(each for each in pair.levels if each.level == level)


# --- Which side is eaten ---


def test_the_edible_one_comes_first_whichever_way_they_are_named(form):
    one, other = eaten(CAP | {"ring": "present"}), deadly(CAP | {"ring": "absent"})
    there, back = paired(one, other, form), paired(other, one, form)
    assert (there.a, there.b, there.both_ways) == (one, other, False)
    assert there == back


@pytest.mark.parametrize("verdict", ["edible", "deadly", "inedible", ""])
def test_two_of_a_kind_stay_as_named_and_must_hold_both_ways(form, verdict):
    ringed = entry("Fictum primum", verdict, CAP | {"ring": "present"})
    bare = entry("Fictum alterum", verdict, CAP | {"ring": "absent"})
    for pair in (paired(ringed, bare, form), paired(bare, ringed, form)):
        assert pair.both_ways
        assert row(pair, "ring").separates == "no"
    assert paired(bare, ringed, form).a is bare


def test_the_weaker_worth_stands_whichever_way_two_of_a_kind_are_named(form):
    """A ripe stalked ball may lose its stalk and is then like a club; a club never looks like a stalked ball."""
    club = entry("Fictum primum", "deadly", {"body": "club"})
    stalked = entry("Fictum alterum", "deadly", {"body": "stalked-ball"})
    for pair in (paired(club, stalked, form), paired(stalked, club, form)):
        told = row(pair, "body").contrast
        assert (told.separates, told.weight, told.alike) == ("yes", 1, True)


# --- What each side shows ---


def test_the_eaten_side_is_what_is_accepted_and_the_other_all_it_can_look_like(form):
    pair = paired(
        eaten(CAP | {"ring": ["present", "absent"]}, accept_only={"ring": ["present"]}),
        deadly(CAP | {"ring": "present"}),
        form,
    )
    told = row(pair, "ring")
    assert told.a.accepted == ("present",)
    assert told.b.shown == ("present", "zone", "absent")
    assert told.b.accepted == ("present",)


def test_what_may_be_reported_of_the_other_says_why_it_overlaps(form):
    pair = paired(eaten(CAP | {"gill-spacing": "close"}), deadly(CAP | {"gill-spacing": "crowded"}), form)
    told = row(pair, "gill-spacing")
    assert (told.separates, told.b.shown, told.b.read_as) == ("no", ("crowded",), ("close",))
    assert told.a.read_as == ("crowded",)


def test_what_is_never_read_from_the_other_is_told(form):
    pair = paired(eaten(CAP | {"ring": ["present", "absent"]}), deadly(CAP | {"ring": "absent"}), form)
    told = row(pair, "ring")
    assert told.separates == "one-way"
    assert told.a.telling == ("present", "zone")
    assert told.b.telling == ()


def test_nothing_is_told_beside_an_unknown(form):
    pair = paired(eaten(CAP | {"ring": "present"}), deadly(), form)
    assert row(pair, "ring").a.telling == ()


def test_sizes_stand_as_recorded_as_accepted_and_as_they_count(form):
    sizes = CAP | {"cap-width": [50, 100], "spore-length": [5, 10]}
    told = row(paired(eaten(sizes, accept_only={"cap-width": [80, 100]}), deadly(sizes), form), "cap-width")
    assert (told.a.recorded_range, told.a.range) == ((50, 100), (80, 100))
    assert (told.b.recorded_range, told.b.range, told.b.shown_range) == ((50, 100), None, (0, 120))
    spores = row(paired(eaten(sizes), deadly(sizes), form), "spore-length")
    low, high = spores.b.shown_range
    assert low < 5
    assert high > 10


STAGED = {"young": ["white"], "mature": ["pink"]}


@pytest.mark.parametrize(
    ("mine", "accept_only", "theirs", "lacks"),
    [
        (CAP, {}, CAP | {"gill-colour": "white"}, ("unrecorded", "")),
        (CAP | {"gill-colour": "white"}, {}, CAP, ("", "unrecorded")),
        (CAP | {"gill-colour": "white"}, {}, CAP | {"gill-colour": {"mature": ["pink"]}}, ("", "age")),
        (CAP | {"gill-colour": STAGED}, {"stage": ["old"]}, CAP | {"gill-colour": "pink"}, ("age", "")),
        (CAP | {"gill-colour": STAGED}, {"stage": ["mature"]}, CAP | {"gill-colour": "pink"}, ("", "")),
        (
            CAP | {"hymenophore": ["gills", "ridges"], "gill-bruise": "none"},
            {},
            {"body": "cap-and-stem", "volva": "none", "gill-colour": "white"},
            ("unrecorded", "dependent"),
        ),
    ],
)
def test_why_something_is_unknown(form, mine, accept_only, theirs, lacks):
    told = row(paired(eaten(mine, accept_only=accept_only), deadly(theirs), form), "gill-colour")
    assert (told.a.lacks, told.b.lacks) == lacks
    assert (told.separates == "unknown") is any(lacks)


def test_what_has_no_gills_has_no_gill_colour(form):
    pair = paired(eaten(CAP | {"hymenophore": "pores"}), deadly(CAP | {"gill-colour": "white"}), form)
    told = row(pair, "gill-colour")
    assert (told.separates, told.a.status, told.b.status) == ("not-applicable", "not-applicable", "known")


# --- The levels ---


def test_one_witness_is_one_group_and_counts_once(form):
    white, orange = (dict.fromkeys(COLOURS, colour) for colour in ("white", "orange"))
    field = at(paired(eaten(CAP | white), deadly(CAP | orange), form), "field")
    assert field.separating == (COLOURS,)
    assert (field.separators, field.required, field.separated, field.is_enough) == (1, 2, "thinly", False)


COLOURS = ("cap-colour", "stem-colour", "flesh-colour")


def test_a_print_alone_is_shown_and_counts_nothing(form):
    pair = paired(eaten(CAP | {"spore-print": "olive"}), deadly(CAP | {"spore-print": "white"}), form)
    prints = at(pair, "print")
    assert (prints.separators, prints.separating, prints.one_fruitbody) == (0, (("spore-print",),), True)
    assert at(pair, "field").separating == ()
    assert not at(pair, "field").one_fruitbody


def test_the_levels_say_what_overlaps_what_is_one_way_and_what_is_missing(form):
    mine = CAP | {"ring": ["present", "absent"], "gill-spacing": "close", "smell": "anise"}
    theirs = CAP | {"ring": "absent", "gill-spacing": "crowded", "smell": "anise"}
    field = at(paired(eaten(mine), deadly(theirs), form), "field")
    assert field.one_way == ("ring",)
    assert {"gill-spacing", "body"} <= set(field.overlapping)
    assert "smell" not in field.overlapping
    assert "gill-colour" in field.unknown
    assert "germ-pore" not in field.unknown
    assert "germ-pore" in at(paired(eaten(mine), deadly(theirs), form), "lab").unknown


@pytest.mark.parametrize(
    ("verdicts", "more", "needed"),
    [
        (("edible", "deadly"), {}, 2),
        (("edible", "poisonous"), {"syndromes": ["gastrointestinal"]}, 1),
        (("edible", "poisonous"), {"syndromes": ["gastrointestinal"], "severity": "severe"}, 2),
        (("edible", "edible"), {}, 1),
        (("deadly", "poisonous"), {"syndromes": ["gastrointestinal"]}, 2),
        (("poisonous", "deadly"), {"syndromes": ["gastrointestinal"]}, 2),
    ],
)
def test_what_is_required_is_the_more_that_either_direction_asks(form, verdicts, more, needed):
    mild = verdicts.index("poisonous") if "poisonous" in verdicts else 1
    pair = [entry(f"Fictum {n}", verdict, **(more if n == mild else {})) for n, verdict in enumerate(verdicts)]
    assert {each.required for each in paired(*pair, form).levels} == {needed}


# --- Against the slow reading of engine.md, 1 and 2 ---


@st.composite
def specimens(draw):
    """An invented taxon's characters, and what of them is accepted."""
    characters = draw(taxa())
    return {"characters": characters, "accept_only": draw(narrowings(characters))}


def slow(a, b):
    return reference.contrasts(the_form(), a, b)


def weaker(there, back):
    """Both must hold: the lesser word stands, and of two that separate the lesser worth."""
    rank = ("unknown", reference.OUTSIDE, "no", "one-way", "yes").index
    return {id: min(told, back[id], key=lambda each: (rank(each[0]), each[1])) for id, told in there.items()}


@settings(deadline=None, max_examples=30, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(one=specimens(), other=specimens(), verdicts=st.sampled_from([("edible", "deadly"), ("deadly", "deadly")]))
def test_rows_and_levels_agree_with_the_slow_reading(one, other, verdicts):
    taxa_ = [
        entry(f"Fictum {n}", verdict, each["characters"], accept_only=each["accept_only"])
        for n, (each, verdict) in enumerate(zip((one, other), verdicts, strict=True))
    ]
    pair = paired(*taxa_, the_form())
    told = weaker(slow(one, other), slow(other, one)) if pair.both_ways else slow(one, other)
    assert {each.character.id: each.separates for each in pair.rows} == {id: word for id, (word, *_) in told.items()}
    assert {each.character.id: each.contrast.weight for each in pair.rows if each.separates == "yes"} == {
        id: worth for id, (word, worth, _) in told.items() if word == "yes"
    }
    for level in reference.LEVELS:
        assert at(pair, level).separators == reference.separators(the_form(), told, level, 2)


@settings(deadline=None, max_examples=30, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(one=specimens(), other=specimens())
def test_what_a_row_shows_bears_its_word_out(one, other):
    """A reader who checks the table by hand comes to the same word."""
    a, b = (
        entry(f"Fictum {verdict}", verdict, each["characters"], accept_only=each["accept_only"])
        for each, verdict in ((one, "edible"), (other, "deadly"))
    )
    for each in paired(a, b, the_form()).rows:
        assert (each.separates == "unknown") is (
            "unknown" in (each.a.status, each.b.status) and "not-applicable" not in (each.a.status, each.b.status)
        )
        if each.separates in {"yes", "no", "one-way"} and not each.character.is_measured:
            read = {*each.b.shown, *each.b.read_as}
            assert (each.separates == "yes") is bool(each.a.accepted and not read & set(each.a.accepted))
            assert each.separates != "one-way" or each.a.telling


# --- Who lists whom ---


def test_lists_are_found_by_any_name_on_either_side(form):
    mine = eaten(
        confusions=[{"with": "Fictum pessimum", "told_apart_by": ["ring"], "hints": ["season"], "note": "Look."}],
        sources={"confusions": ["common-practice"]},
    )
    theirs = deadly(
        former_names=["Fictum pessimum"],
        not_confused_with=[{"with": "Fictum bonum", "because": "Larger.", "source": "from-memory"}],
    )
    first, second = paired(theirs, mine, form).listings
    assert (first.by, first.listed, first.claims, first.hints, first.note, first.sources) == (
        mine, "authored", ("ring",), ("season",), "Look.", ("common-practice",),
    )  # fmt: skip
    assert (second.by, second.listed, second.note, second.sources) == (theirs, "dismissed", "Larger.", ("from-memory",))


def test_nobody_lists_what_is_not_named(form):
    assert paired(eaten(confusions=[{"with": "Fictum tertium"}]), deadly(), form).listings == ()


def test_the_checklist_knows_whom_a_name_means_today(form):
    mine = eaten(confusions=[{"with": "Fictum tertium"}])
    theirs, third = deadly(former_names=["Fictum tertium"]), entry("Fictum tertium", "deadly")
    assert paired(mine, theirs, form, Checklist([mine, theirs, third])).listings == ()
    assert [each.by for each in paired(mine, theirs, form, Checklist([mine, theirs])).listings] == [mine]


def test_the_checklist_follows_a_retired_id(form):
    mine, theirs = eaten(confusions=[{"with": "F9050"}]), deadly()
    retired = {"F9050": {"was": "Fictum vetus", "replaced_by": [theirs.key]}}
    assert [each.by for each in paired(mine, theirs, form, Checklist([mine, theirs], retired)).listings] == [mine]
