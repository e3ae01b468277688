"""Proofs as rows of the release: by their schemas sound, none lost, nothing without what it does not exclude."""

from __future__ import annotations

import random

import pytest

from sporeproof.confusion.proof import as_handled, proof
from sporeproof.confusion.proof_rows import filled, graded, proof_rows, unexcluded_rows
from sporeproof.confusion.suspects import suspects_of
from sporeproof.tables.build import Facts, build
from sporeproof.tables.faults import faults, frames
from sporeproof.tables.resolve import Checklist
from tests.confusion.test_proof import CAP, DEADLY, FRAIL, SPINED, TOUGH, changed, some_case, taxon

EATEN = changed(
    taxon("Fictum commune", "edible", TOUGH | {"stem-width": [5.5, 20]}, accept_only={"stem-width": [10, 20]}),
    id="F9001",
)
THIN = changed(
    taxon("Dubium letale", "deadly", FRAIL | {"gill-spacing": "distant", "spore-print": "olive"}), id="F9002"
)
BARE = changed(taxon("Dubium ignotum", "unknown", CAP), id="F9003")


def numbered(case, a, suspects):
    """Give the taxa of a case ids of their own."""
    return [changed(each, id=f"F{9001 + 10 * case + at}") for at, each in enumerate([a, *suspects])]


@pytest.fixture(scope="module")
def cases(form):
    """Some invented cases: the entries of each, the edible one first, and its proof."""
    found = []
    for seed in range(25):
        a, *suspects = numbered(seed, *some_case(seed, form))
        found.append(([a, *suspects], proof(a, suspects, form, missing=[])))
    return found


def columns(form, table):
    return [each["name"] for each in form.tables[table]["fields"]]


def test_the_rows_of_a_list_in_the_order_of_the_columns(form):
    found = proof(EATEN, [THIN, BARE], form, missing=[])
    rows = [dict(zip(columns(form, "proofs"), row, strict=True)) for row in proof_rows([found])]
    assert [(row["level"], row["position"], row["character_id"], row["accept"], row["read_when"]) for row in rows] == [
        ("field", 1, "stem-width", "10..20", None),
        ("field", 2, "stem-texture", "fibrous", "fresh"),
        ("lab", 1, "stem-width", "10..20", None),
        ("lab", 2, "stem-texture", "fibrous", "fresh"),
        ("lab", 3, "spore-print", "white", None),
        ("print", 1, "stem-width", "10..20", None),
        ("print", 2, "stem-texture", "fibrous", "fresh"),
        ("print", 3, "spore-print", "white", None),
    ]
    assert {row["taxon_id"] for row in rows} == {"F9001"}
    assert [row["rules_out"] for row in rows[:2]] == [0, 1]


def test_what_is_not_excluded_stands_beside_it(form):
    rows = unexcluded_rows([proof(EATEN, [THIN, BARE], form, missing=[])])
    assert columns(form, "unexcluded") == ["taxon_id", "level", "with_taxon_id", "required", "separators"]
    assert rows == [
        ("F9001", "field", "F9002", 2, 1),
        ("F9001", "field", "F9003", 2, 0),
        ("F9001", "lab", "F9003", 2, 0),
        ("F9001", "print", "F9003", 2, 0),
    ]


def test_several_states_are_joined_and_the_place_comes_first(form):
    entry = changed(
        EATEN,
        characters=SPINED | {"ring": ["present", "absent", "zone"], "grows-from": ["ground", "visible-wood"]},
        edibility={"verdict": "edible", "accept_only": {"ring": ["zone", "present"], "grows-from": ["ground"]}},
    )
    rows = proof_rows([proof(entry, [changed(DEADLY, id="F9002")], form, missing=[])])
    accepted = {character: accept for _, _, _, character, accept, *_ in rows}
    assert accepted["ring"].split("|") == [id for id in form.characters["ring"].states if id in {"zone", "present"}]
    first = [character for _, level, position, character, *_ in rows if position == 1]
    assert first == ["grows-from"] * 3


def test_every_row_is_sound_by_its_schema(form, cases):
    """Judged by the same rules as a received package: vocabularies, patterns, limits, keys and links."""
    entries = [entry for taxa, _ in cases for entry in taxa]
    facts = Facts(Checklist(entries), form, {}, [])
    tables = filled(build(facts, ["taxa", "catalogue"]), [found for _, found in cases], form)
    assert len(tables["proofs"]) > 100
    assert len(tables["unexcluded"]) > 30
    wrong = [each for each in faults(frames(tables, form), form) if each.table in {"proofs", "unexcluded"}]
    nothing = [row for row in tables["proofs"] if row[4] is None]  # accepted, which is refused: see below
    assert [(each.column, each.kind) for each in wrong] == [("accept", "required")] * len(nothing)


def test_what_accepts_nothing_is_refused_by_the_schema(form):
    entry = changed(EATEN, edibility={"verdict": "edible", "accept_only": {"ring": ["present"]}})
    tables = {"proofs": proof_rows([proof(entry, [], form, missing=[])])}
    assert [each.kind for each in faults(frames(tables, form), form) if each.column == "accept"] == ["required"] * 3


def test_no_item_and_no_suspect_is_lost(cases):
    for _, found in cases:
        for each in found.lists:
            items = [row[3] for row in proof_rows([found]) if row[1] == each.level]
            assert items == [item.character.id for item in as_handled(each.items)]
            short = {row[2:] for row in unexcluded_rows([found]) if row[1] == each.level}
            assert short == {(s.suspect.key, s.required, s.separators) for s in each.does_not_exclude}


def test_rows_are_sorted_whatever_the_order_of_the_proofs(cases):
    proofs = [found for _, found in cases]
    shuffled = random.Random(3).sample(proofs, len(proofs))
    for rows_of in (proof_rows, unexcluded_rows):
        rows = rows_of(shuffled)
        assert rows == rows_of(proofs) == sorted(rows, key=lambda row: row[:3])


def test_grades_stand_in_the_rows_of_taxa(form):
    entries = [EATEN, THIN, BARE]
    taxa = build(Facts(Checklist(entries), form, {}, []), ["taxa"])["taxa"]
    found = proof(EATEN, [THIN], form, missing=[])
    rows = [dict(zip(columns(form, "taxa"), row, strict=True)) for row in graded(taxa, [found], form)]
    assert [(row["taxon_id"], row["grade"], row["grade_reason"]) for row in rows] == [
        ("F9001", "with-print", found.reason),
        ("F9002", None, None),
        ("F9003", None, None),
    ]
    assert [row[:-2] for row in graded(taxa, [found], form)] == [row[:-2] for row in taxa]


def test_the_dataset_is_sound_with_its_proofs(form, dataset, checklist):
    edible = [entry for entry in dataset.entries if form.is_edible(entry.verdict)][:6]
    proofs = [proof(each, suspects_of(each, dataset.entries, form), form, missing=[]) for each in edible]
    tables = filled(build(Facts(checklist, form, {}, []), ["taxa", "catalogue"]), proofs, form)
    assert len(tables["proofs"]) >= 3 * len(edible)
    assert [each for each in faults(frames(tables, form), form) if each.table in {"proofs", "unexcluded"}] == []
