"""What a release says otherwise than its own entries come to: one change, one sentence. Nothing is real."""

from __future__ import annotations

import pytest

from sporeproof.tables.contradictions import MOST, OTHER_SCHEMA, contradictions, held_down
from sporeproof.tables.rebuilt import named, rebuilt
from sporeproof.verifying import computed
from tests.release.edition import edition

ONE = "F9001 (Fictum commune)"
TWO = "F9002 (Fictum letale)"


@pytest.fixture(scope="module")
def made(form):
    """The small edition with all that the engine says of it."""
    return computed(rebuilt(named(edition(form), form), form, {"similarity_threshold": 0.5}), form)


@pytest.fixture
def given(made, form):
    return {table: [dict(row) for row in rows] for table, rows in named(made, form).items()}


def row_of(given, table, *cells):
    """The one row of a table that holds some cells."""
    (found,) = (row for row in given[table] if set(cells) <= set(row.values()))
    return found


def test_what_comes_of_the_entries_is_no_contradiction(given, made, form):
    assert given["proofs"]
    assert given["unexcluded"]
    assert list(contradictions(given, made, form)) == []


@pytest.mark.parametrize(
    ("table", "cells", "change", "where", "comes"),
    [
        ("taxa", ["F9001"], ("grade", "beginner"), ONE, "unproven"),
        ("taxa", ["F9001"], ("grade", None), ONE, "unproven"),
        ("taxa", ["F9001"], ("grade", "proven-by-acclaim"), ONE, "unproven"),
        ("taxa", ["F9002"], ("grade", "unproven"), TWO, "nothing"),
        ("taxa", ["F9002"], ("evidence", "memory-only"), TWO, "published"),
        ("taxa", ["F9002"], ("verdict_source_ids", None), TWO, "fern-2001"),
        ("confusions", ["F9001", "F9002", "authored", 2], ("required", 1), f"{ONE}, {TWO}", "2"),
        ("confusions", ["F9001", "F9002", "authored", 2], ("separators", 2), f"{ONE}, {TWO}", "1"),
        ("confusions", ["F9001", "F9002", "authored", 2], ("similarity", 0.7), f"{ONE}, {TWO}", "0.7949"),
        ("confusions", ["F9001", "F9002", "authored", 2], ("similarity", None), f"{ONE}, {TWO}", "0.7949"),
        ("distinctions", ["F9001", True], ("separates", "one-way"), f"{ONE}, {TWO}, ring", "yes"),
        ("proofs", ["field", "ring"], ("accept", "present|absent"), f"{ONE}, field, 2", "present"),
        ("proofs", ["field", "ring"], ("rules_out", 3), f"{ONE}, field, 2", "1"),
        ("proofs", ["lab", "ring"], ("character_id", "volva"), f"{ONE}, lab, 2", "ring"),
        ("unexcluded", ["F9001", "lab", "F9002"], ("separators", 2), f"{ONE}, lab, {TWO}", "1"),
        ("protections", ["GB-ENG"], ("taxon_id", "F9002"), "The Fernhollow Act, Fictum dubium, GB-ENG", "F9003"),
        ("vernaculars", ["en"], ("preferred", False), f"{ONE}, en, Common Fiction", "True"),
        ("names", ["Fictum vulgare"], ("role", "misapplied"), "Fictum vulgare, nothing", "former"),
    ],
)
def test_a_changed_cell_is_told(table, cells, change, where, comes, given, made, form):
    column, cell = change
    row_of(given, table, *cells)[column] = cell
    says = "nothing" if cell is None else cell
    assert list(contradictions(given, made, form)) == [
        f"{table}: {where}: {column} is {says}; what is recorded comes to {comes}."
    ]


@pytest.mark.parametrize(
    ("table", "cells", "where"),
    [
        ("unexcluded", ["F9001", "field", "F9002"], f"{ONE}, field, {TWO}"),
        ("proofs", ["print", "cap-width"], f"{ONE}, print, 1"),
        ("confusions", ["F9001", "computed"], f"{ONE}, F9004 (Fictum vetus)"),
        ("distinctions", ["ring", False], f"{TWO}, {ONE}, ring"),
    ],
)
def test_a_dropped_row_and_one_too_many_are_told(table, cells, where, given, made, form):
    row = row_of(given, table, *cells)
    without = {**given, table: [each for each in given[table] if each is not row]}
    assert list(contradictions(without, made, form)) == [
        f"{table}: {where} is missing, though it follows from what is recorded."
    ]
    fewer = {**made, table: [each for each in made[table] if each != tuple(row.values())]}
    assert list(contradictions(given, fewer, form)) == [
        f"{table}: {where} stands there, though nothing that is recorded comes to it."
    ]
    assert len(list(contradictions({**given, table: [*given[table], row]}, made, form))) == 1


def regraded(made, grade, reason, form):
    """The tables as if what is recorded came to another grade of the first taxon."""
    rows = {each["taxon_id"]: each for each in named(made, form)["taxa"]}
    taxa = [tuple((row | {"grade": grade, "grade_reason": reason}).values()) for row in [rows.pop("F9001")]]
    return {**made, "taxa": [*taxa, *(tuple(row.values()) for row in rows.values())]}


def test_a_grade_may_be_lower_for_a_reason_of_its_own_and_never_higher(given, made, form):
    better = regraded(made, "specialist", "It has needs of its own.", form)
    assert list(contradictions(given, better, form)) == []
    assert held_down(given, better, form) == ["Fictum commune"]
    assert held_down(given, made, form) == []


def test_the_words_of_a_reason_may_stand_in_another_order_and_no_word_may_be_another(given, made, form):
    row_of(given, "taxa", "F9001")["grade_reason"] = "It has needs of its own: Peel it; Cook it soon."
    same = regraded(made, "unproven", "It has needs of its own: Cook it soon; Peel it.", form)
    assert list(contradictions(given, same, form)) == []
    other = regraded(made, "unproven", "It has needs of its own: Cook it soon; Leave it.", form)
    assert len(list(contradictions(given, other, form))) == 1


def test_the_last_digit_of_a_similarity_is_left_to_the_machine(given, made, form):
    row = row_of(given, "confusions", "F9001", "F9002", "authored", 2)
    row["similarity"] += 0.0001
    assert list(contradictions(given, made, form)) == []
    row["similarity"] += 0.0002
    assert len(list(contradictions(given, made, form))) == 1


def test_what_a_checklist_answered_is_not_computed_again(given, made, form):
    row_of(given, "names", "Fictum vulgare").update(outcome="renamed", obtained="live", checked_against="A checklist")
    assert list(contradictions(given, made, form)) == []


def test_what_tells_of_the_versions_before_is_not_computed_again(given, made, form):
    given["notices"].append({"notice_id": "0.2.0/taxa/F9001/verdict", "version": "0.2.0", "table": "taxa"})
    assert list(contradictions(given, made, form)) == []


def test_another_word_of_the_schema_names_the_way_to_verify_with_another_schema(given, made, form):
    row_of(given, "terms", "verdicts", "deadly")["title"] = "Edible"
    row_of(given, "terms", "verdicts", "poisonous")["title"] = "Edible"
    first, second = contradictions(given, made, form)
    assert first.startswith("terms: verdicts, deadly: title is Edible; what is recorded comes to ")
    assert first.endswith(OTHER_SCHEMA)
    assert not second.endswith(OTHER_SCHEMA)


def test_a_missing_table_and_many_differences_are_told_briefly(given, made, form):
    assert list(contradictions({each: given[each] for each in given if each != "proofs"}, made, form)) == [
        "proofs: the table is missing."
    ]
    found = list(contradictions({**given, "terms": []}, made, form))
    assert len(found) == MOST + 1
    assert found[-1] == f"terms: {len(given['terms']) - MOST} more differences of this kind."


def test_cells_of_another_type_are_contradictions_and_stop_nothing(given, made, form):
    row = row_of(given, "confusions", "F9001", "F9002", "authored", 2)
    row.update(similarity="0.7949", separators=[1], note=7)
    assert len(list(contradictions(given, made, form))) == 3
