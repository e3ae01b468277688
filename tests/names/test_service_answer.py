"""Answers in shapes that have drifted, and in shapes that are none. The names are invented."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sporeproof.names.matching.usage import Match, Taxon
from sporeproof.names.service_answer import LONGEST, Fault, match_of
from tests.names.service import accepted, synonym

GOOD = accepted("C1", "Fictum commune", "(Fr.) Nemo")
OLD = synonym("S1", "Fictum vetus", "A1", "Fictum novum")


def changed(body: dict, path: str, value: object) -> dict:
    """Return a copy of an answer with one member set, or taken away where the value is ``...``."""
    whole = json.loads(json.dumps(body))
    *steps, last = path.split(".")
    inner = whole
    for step in steps:
        inner = inner[step]
    inner[last] = value
    if value is ...:
        del inner[last]
    return whole


def read(body: object) -> Match:
    found = match_of(body)
    assert isinstance(found, Match), found
    return found


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("usage.unknownMember", {"a": [1]}),
        ("usage.canonicalName", None),
        ("unknownMember", [1, 2]),
        ("additionalStatus", [{"status": "LEAST_CONCERN"}]),
        ("acceptedUsage", None),
        ("acceptedUsage", {}),
        ("diagnostics.alternatives", None),
        ("diagnostics.issues", None),
        ("diagnostics.timings", ...),
        ("diagnostics.note", None),
        ("left", 17),
        ("classification", [*GOOD["classification"], None, 3, {"rank": "OMICS_RANK"}]),
    ],
)
def test_members_that_do_not_matter_change_nothing(path, value):
    body = changed(GOOD, path, value)
    if path == "usage.canonicalName":
        body["usage"] |= {"genericName": "Fictum", "specificEpithet": "commune"}
    one, other = read(GOOD), read(body)
    assert (one.usage, one.match_type, one.accepted) == (other.usage, other.match_type, other.accepted)
    assert other.higher("KINGDOM") == "Fungi"


def test_older_answers_give_the_genus_by_another_name():
    body = changed(GOOD, "usage.canonicalName", ...)
    body["usage"] |= {"genus": "Fictum", "specificEpithet": "commune", "infraspecificEpithet": "album"}
    assert read(body).usage.canonical == "Fictum commune album"


def test_a_name_is_cut_from_its_author_where_nothing_else_gives_it():
    body = changed(GOOD, "usage.canonicalName", ...)
    assert read(body).usage.canonical == "Fictum commune"
    body = changed(GOOD, "usage.authorship", ...)
    assert read(body).usage.authorship == "(Fr.) Nemo"


def test_a_status_may_stand_in_the_diagnostics():
    body = changed(changed(GOOD, "usage.status", ...), "diagnostics.status", "PROVISIONALLY_ACCEPTED")
    assert read(body).usage.status == "PROVISIONALLY_ACCEPTED"


def test_an_accepted_name_that_is_marked_a_synonym_has_no_status():
    assert read(changed(GOOD, "synonym", True)).usage.status == ""


def test_a_synonym_is_known_by_its_mark_where_its_status_is_not_told():
    assert read(changed(OLD, "usage.status", ...)).usage.status == "SYNONYM"


@pytest.mark.parametrize("status", ["AMBIGUOUS_SYNONYM", "MISAPPLIED"])
@pytest.mark.parametrize("marked", [True, False])
def test_a_status_stands_whatever_the_mark_says(status, marked):
    body = changed(changed(GOOD, "usage.status", status), "synonym", marked)
    assert read(body).usage.status == status
    assert read(body).accepted is None


def test_whole_numbers_are_keys_too():
    body = changed(changed(OLD, "usage.key", 4911770), "acceptedUsage.key", 8110284)
    assert (read(body).usage.key, read(body).accepted.key) == ("4911770", "8110284")


def test_fuzzy_is_the_older_word_for_a_variant():
    assert read(changed(GOOD, "diagnostics.matchType", "FUZZY")).match_type == "VARIANT"


@pytest.mark.parametrize(
    ("given_", "rank"),
    [("SECTION", "SECTION_BOTANY"), ("species", "SPECIES"), ("OMICS_RANK", "OMICS_RANK"), (None, "")],
)
def test_ranks_are_read_by_their_present_names_and_unknown_ones_kept(given_, rank):
    assert read(changed(GOOD, "usage.rank", given_)).usage.rank == rank


@pytest.mark.parametrize(
    ("told", "confidence"),
    [(97, 97), ("97", 97), (97.0, 97), (0, 0), (None, None), (-1, None), (101, None), (True, None), (97.5, None),
     ("very", None), ([], None), (float("inf"), None), (float("nan"), None)],
)  # fmt: skip
def test_a_confidence_is_a_whole_number_up_to_100_or_none(told, confidence):
    assert read(changed(GOOD, "diagnostics.confidence", told)).confidence == confidence


@pytest.mark.parametrize("classification", [[], None, ..., {}, "Fungi"])
def test_a_classification_may_be_missing(classification):
    assert read(changed(GOOD, "classification", classification)).classification == ()


def test_a_classification_is_read_in_its_order():
    body = changed(GOOD, "classification", [{"key": 1, "name": "Biota", "rank": "UNRANKED"}, GOOD["classification"][0]])
    assert read(body).classification == (Taxon("1", "Biota", "UNRANKED"), Taxon("F", "Fungi", "KINGDOM"))


def test_alternatives_are_whole_answers_and_those_without_a_usage_are_no_rivals():
    body = changed(GOOD, "diagnostics.alternatives", [OLD, {"synonym": False}, changed(GOOD, "diagnostics", ...)])
    first, second = read(body).alternatives
    assert (first.usage.canonical, first.accepted.canonical) == ("Fictum vetus", "Fictum novum")
    assert second.usage.key == "C1"


def test_alternatives_of_alternatives_end_somewhere():
    body = GOOD
    for _ in range(50):
        body = changed(GOOD, "diagnostics.alternatives", [body])
    match, depth = read(body), 0
    while match.alternatives:
        (match,), depth = match.alternatives, depth + 1
    assert depth == 3


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("usage.key", ...),
        ("usage.key", True),
        ("usage.key", 1.5),
        ("usage", ...),
        ("usage", None),
        ("usage", []),
        ("usage", "Fictum commune"),
        ("usage.name", "x" * (LONGEST + 1)),
        ("diagnostics", ...),
        ("diagnostics", []),
        ("diagnostics.matchType", ...),
        ("diagnostics.matchType", 7),
        ("diagnostics.matchType", "UNSUPPORTED"),
        ("diagnostics.matchType", "NONE"),
        ("diagnostics.alternatives", ["Fictum commune"]),
        ("diagnostics.alternatives", [{"usage": {"name": "Fictum commune"}}]),
        ("acceptedUsage", {"name": "Fictum novum"}),
    ],
)
def test_what_cannot_be_understood_for_certain_is_a_fault(path, value):
    body = changed(GOOD, path, value)
    if path == "usage.name":
        body["usage"] |= {"canonicalName": value, "authorship": ""}
    found = match_of(body)
    assert isinstance(found, Fault)
    assert found.says
    assert not found.says.endswith(".")


def test_a_text_is_one_clean_line():
    body = changed(GOOD, "usage.canonicalName", " Fictum\n\x1b[31m commune\x00\ud800\u2028")
    assert read(body).usage.canonical == "Fictum [31m commune"
    read(body).usage.canonical.encode()


MEMBERS = ["usage", "diagnostics", "matchType", "key", "name", "alternatives", "synonym", "classification"]
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(MEMBERS), inner, max_size=4),
    max_leaves=12,
)


@given(JSON, st.sampled_from(["usage", "acceptedUsage", "classification", "diagnostics", "synonym", "usage.key"]))
def test_no_body_raises(body, path):
    assert isinstance(match_of(body), Match | Fault)
    assert isinstance(match_of(changed(OLD, path, body)), Match | Fault)
