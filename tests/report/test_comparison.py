"""A pair as text and as JSON: nothing is lost, nothing too wide, nothing that a terminal would obey."""

from __future__ import annotations

import json
import random

import pytest
from hypothesis import given

from sporeproof.confusion.pairing import paired
from sporeproof.report import comparison
from sporeproof.report.comparison import comparison_json, comparison_text
from sporeproof.report.side_by_side import folded, table
from tests.confusion.test_pairing import CAP, deadly, eaten, entry
from tests.laws.taxa import form as the_form
from tests.report.hostile import few, texts

WIDTH = 110
GROUPS = (
    "SEPARATES",
    "SEPARATES, AND ONLY WARNS",
    "ONE WAY",
    "OVERLAPS",
    "UNKNOWN",
    "NOT RECORDED FOR EITHER",
    "DOES NOT APPLY TO ONE OF THE TWO",
)


@pytest.fixture(scope="module")
def pairs(form, checklist):
    """Some pairs of the dataset of each kind: listed ones, and any two."""
    chance = random.Random(5)
    listed = [(each, link.one) for each in checklist.entries for _, _, link in checklist.linked(each) if link.one]
    others = [chance.sample(checklist.entries, 2) for _ in range(20)]
    return [paired(*each, form, checklist) for each in [*chance.sample(listed, 20), *others]]


def blocks(text: str) -> dict[str, list[str]]:
    """The lines of each group by its title, up to the colon."""
    parts = [part.splitlines() for part in text.split("\n\n")]
    return {part[0].partition(":")[0]: part[1:] for part in parts if part[0].partition(":")[0] in GROUPS}


def column(lines: list[str], at: int) -> str:
    """One column of a group's table below its rule, as running text; the rule says where the columns stand."""
    rule = next(at for at, line in enumerate(lines) if set(line) == {" ", "-"})
    start = [place for place, sign in enumerate(lines[rule]) if sign == "-" and lines[rule][place - 1] == " "]
    return words([line[start[at] : (*start, WIDTH)[at + 1]] for line in lines[rule + 1 :]])


def words(titles: list[str]) -> str:
    return " ".join(" ".join(titles).split())


def expected(pair) -> dict[str, list[str]]:
    """The titles by group, worked out from the rows alone."""
    found: dict[str, list[str]] = {}
    for row in pair.rows:
        bare = row.a.lacks == row.b.lacks == "unrecorded"
        group = {
            "yes": "SEPARATES" if row.full_weight else "SEPARATES, AND ONLY WARNS",
            "one-way": "ONE WAY",
            "no": "OVERLAPS",
            "unknown": "NOT RECORDED FOR EITHER" if bare else "UNKNOWN",
            "not-applicable": "DOES NOT APPLY TO ONE OF THE TWO",
        }[row.separates]
        found.setdefault(group, []).append(row.character.title)
    return found


def test_every_character_stands_once_in_the_group_of_its_outcome(form, pairs):
    for pair in pairs:
        found = blocks(comparison_text(pair, form))
        wanted = expected(pair)
        assert list(found) == [group for group in GROUPS if group in wanted]
        for group, titles in wanted.items():
            is_list = group.startswith(("NOT ", "DOES "))
            said = words(found[group]) if is_list else column(found[group], 0)
            assert sorted(said.rstrip(".").replace(";", "").split()) == sorted(words(titles).split()), group


def test_no_line_is_wider_than_promised_or_ends_in_blanks(form, pairs):
    for pair in pairs:
        for line in comparison_text(pair, form).splitlines():
            assert len(line) <= WIDTH
            assert line == line.rstrip()


def line_of(text: str, start: str) -> str:
    return next(line for line in text.splitlines() if line.strip().startswith(start))


def test_what_counts_is_read_off_the_top(form):
    pair = paired(eaten(CAP | {"gill-spacing": "distant"}), deadly(CAP | {"gill-spacing": "crowded"}), form)
    text = comparison_text(pair, form)
    assert line_of(text, "A  Fictum bonum").endswith("Edible")
    assert line_of(text, "B  Fictum malum").endswith("Deadly")
    assert "Field  thinly separated, 1 of the 2 required: NOT ENOUGH\n         By Distance of the gills.\n" in text
    assert line_of(text, "Distance of the gills").split()[4:] == ["distant", "crowded", "1", "(firm)", "Close", "up"]
    assert "By nobody: neither entry names the other." in text


def test_enough_is_not_called_short(form):
    mine, theirs = CAP | {"hymenophore": "spines"}, CAP
    text = comparison_text(paired(eaten(mine), deadly(theirs), form), form)
    assert "Field  well separated, 2 of the 2 required\n" in text
    assert "NOT ENOUGH" not in text


def test_a_print_is_marked_as_speaking_for_one_fruitbody(form):
    pair = paired(eaten(CAP | {"spore-print": "olive"}), deadly(CAP | {"spore-print": "white"}), form)
    text = comparison_text(pair, form)
    assert "By Spore print*" in text
    assert "counts nothing alone" in text
    assert column(blocks(text)["SEPARATES"], 4) == "Spore print*"
    beside = paired(
        eaten(CAP | {"spore-print": "olive", "gill-spacing": "distant"}),
        deadly(CAP | {"spore-print": "white", "gill-spacing": "crowded"}),
        form,
    )
    assert "counts nothing alone" not in comparison_text(beside, form)
    assert "each of its neighbours has to pass the rest" in " ".join(comparison_text(beside, form).split())


SMELLS = ["Smell", "anise", "meal; also none", "0 (supporting)", "Smell"]


def test_a_smell_that_differs_stands_apart_from_proof(form):
    pair = paired(eaten(CAP | {"smell": "anise"}), deadly(CAP | {"smell": "meal"}), form)
    found = blocks(comparison_text(pair, form))
    assert "SEPARATES" not in found
    assert [column(found["SEPARATES, AND ONLY WARNS"], at) for at in range(5)] == SMELLS


def test_one_way_names_what_differs(form):
    mine = CAP | {"ring": ["present", "absent"], "cap-width": [50, 200]}
    theirs = CAP | {"ring": "absent", "cap-width": [20, 60]}
    lines = blocks(comparison_text(paired(eaten(mine), deadly(theirs), form), form))["ONE WAY"]
    assert "differs: above 72 mm" in column(lines, 1)
    assert "differs: present, zone" in column(lines, 1)
    assert "differs" not in column(lines, 2)


def test_the_reason_of_an_unknown_is_told(form):
    mine = CAP | {"gill-colour": "white", "gill-spacing": "close"}
    theirs = CAP | {"gill-colour": {"mature": ["pink"]}}
    found = blocks(comparison_text(paired(eaten(mine), deadly(theirs), form), form))
    told = column(found["UNKNOWN"], 2)
    assert "not recorded for every age that counts" in told
    assert "Distance of the gills" in column(found["UNKNOWN"], 0)
    assert "Distance of the gills" not in words(found["NOT RECORDED FOR EITHER"])
    assert "Gills when pressed" in words(found["NOT RECORDED FOR EITHER"])


def test_wear_and_slips_of_the_eye_are_told_from_what_is_recorded(form):
    mine, theirs = CAP | {"ring": "absent", "gill-spacing": "close"}, CAP | {"ring": "zone", "gill-spacing": "crowded"}
    overlaps = blocks(comparison_text(paired(eaten(mine), deadly(theirs), form), form))["OVERLAPS"]
    said = column(overlaps, 2)
    assert "zone; also absent" in said
    assert "crowded; reported as close" in said


def test_claims_are_judged_and_hints_are_not(form):
    mine = eaten(
        CAP | {"ring": "present"},
        confusions=[{"with": "Fictum malum", "told_apart_by": ["ring", "halo"], "hints": ["season", "smell"]}],
    )
    text = comparison_text(paired(mine, deadly(CAP | {"ring": "absent"}), form), form)
    assert "Said to tell them apart: Ring on the stem (separates); Halo (not in the catalogue)." in text
    assert "Hints, which never prove: Season; Smell." in text


def test_an_answer_is_not_shown_as_a_confusion(form):
    theirs = deadly(not_confused_with=[{"with": "Fictum bonum", "because": "Larger.", "source": "from-memory"}])
    text = comparison_text(paired(eaten(), theirs, form), form)
    assert "  As not confused in the entry of Fictum malum\n    Larger.\n    Source: From memory.\n" in text


@pytest.mark.parametrize(("verdict", "says"), [("edible", "Both are edible"), ("deadly", "Neither is edible")])
def test_two_of_a_kind_are_said_to_be_so(form, verdict, says):
    pair = paired(entry("Fictum primum", verdict), entry("Fictum alterum", verdict), form)
    assert says in comparison_text(pair, form)


def test_what_is_accepted_is_said(form):
    mine = eaten(
        CAP | {"ring": ["present", "absent"], "cap-width": [10, 90]},
        accept_only={"stage": ["young", "mature"], "ring": ["present"], "cap-width": [30, 90]},
    )
    said = " ".join(comparison_text(paired(mine, deadly(), form), form).split())
    assert "(stage: young or mature; ring: present; cap width: 30 to 90 mm)" in said


# --- JSON ---

KEYS = ["schema", "a", "b", "both_ways", "levels", "characters", "listed", "safety_note"]
LEVEL = [
    "level", "separators", "required", "separated", "enough", "one_fruitbody",
    "separating", "one_way", "overlapping", "unknown",
]  # fmt: skip
CHARACTER = [
    "character", "title", "separates", "weight", "alike", "proof", "witness", "seen_by", "read_when", "every", "unit",
    "level", "a", "b",
]  # fmt: skip
SIDE = [
    "status", "accepted", "shown", "range", "shown_range", "recorded_range", "read_as", "telling", "lacks",
]  # fmt: skip
LISTING = ["taxon_id", "listed", "told_apart_by", "hints", "note", "sources"]


def test_keys_are_the_contract(pairs):
    for pair in pairs:
        text = comparison_json(pair)
        read = json.loads(text)
        assert text.endswith("}\n")
        assert list(read) == KEYS
        assert read["schema"] == 1
        assert [list(each) for each in read["levels"]] == [LEVEL] * 3
        assert all(list(each) == CHARACTER for each in read["characters"])
        assert all(list(each[side]) == SIDE for each in read["characters"] for side in "ab")
        assert all(list(each) == LISTING for each in read["listed"])


def test_every_key_is_documented():
    for key in [*KEYS, *LEVEL, *CHARACTER, *SIDE, *LISTING, "name", "verdict"]:
        assert f"``{key}``" in comparison.__doc__ or f'"{key}"' in comparison.__doc__, key


def test_values_come_back(pairs):
    for pair in pairs:
        read = json.loads(comparison_json(pair))
        assert [each["separates"] for each in read["characters"]] == [row.separates for row in pair.rows]
        assert [each["weight"] for each in read["characters"]] == [row.contrast.weight for row in pair.rows]
        assert [each["a"]["accepted"] for each in read["characters"]] == [list(row.a.accepted) for row in pair.rows]
        assert [each["enough"] for each in read["levels"]] == [
            each["separators"] >= each["required"] for each in read["levels"]
        ]
        assert [each["note"] for each in read["listed"]] == [each.note for each in pair.listings]


def test_a_claim_that_the_catalogue_lacks_has_no_outcome(form):
    mine = eaten(confusions=[{"with": "Fictum malum", "told_apart_by": ["halo", "body"]}])
    (listed,) = json.loads(comparison_json(paired(mine, deadly(), form)))["listed"]
    assert listed["told_apart_by"] == [{"character": "halo", "separates": ""}, {"character": "body", "separates": "no"}]


# --- Whatever stands in an entry ---


@few
@given(texts, texts)
def test_nothing_in_an_entry_commands_a_terminal_or_breaks_a_line(name, note):
    mine = eaten(confusions=[{"with": "Fictum malum", "note": note}], vernacular={"en": [name]})
    pair = paired(mine, deadly(), the_form())
    text = comparison_text(pair, the_form())
    assert all(sign.isprintable() or sign == "\n" for sign in text)
    assert max(map(len, text.splitlines())) <= WIDTH
    told = comparison_json(pair)
    assert all(sign.isprintable() or sign == "\n" for sign in told)
    assert json.loads(told)["listed"][0]["note"] == note


def test_an_accepted_size_that_is_none_is_said_as_written(form):
    mine = eaten(CAP | {"cap-width": [10, 90]}, accept_only={"cap-width": ["wide"]})
    assert "cap width: wide" in comparison_text(paired(mine, deadly(), form), form)


def test_a_word_longer_than_its_column_is_broken():
    assert table([("ab", "c" * 7)], (2, 3)) == ["  ab  ccc", "      ccc", "      c"]
    assert folded("", "  ") == [""]
