"""Poisonings and their onset against the table of syndromes (see syndromes/README.md)."""

from __future__ import annotations

import pytest

from tests.outside.facts import rows, settle, words

ROWS = rows("syndromes/syndromes.csv")
# Phases that the one range of the source speaks of: the first signs, or those that it calls decisive.
MEASURED = {
    "nephrotoxic-delayed-orellanine": {"gut", "kidney"},
    "morel-neurologic": {"gut", "nerves"},
    "disulfiram-like": {"after-alcohol"},
    "myotoxic-rapid": {"gut", "first"},
    "hypoglycaemic": {"first", "death"},
}


def bare(example: str) -> str:
    """Return the name of an example without what is said beside it."""
    return " ".join(example.split()[:2])


EXAMPLES = {(bare(each), row["id"]) for row in ROWS for each in words(row["example_species"])}


def test_every_example_has_its_syndrome_here(checklist, form):
    compared, found = 0, {}
    for name, syndrome in sorted(EXAMPLES):
        entry = checklist.find(name).one
        if entry is None or not form.is_toxic(entry.verdict):
            continue
        compared += 1
        if syndrome not in entry.syndromes:
            found[(entry.name, syndrome)] = f"{syndrome} there, {entry.syndromes} here"
    assert compared >= 25
    settle("syndromes/examples", found, compared)


def test_no_syndrome_stands_here_that_the_table_gives_to_others_only(dataset, form):
    """An entry may show a syndrome that names no example, or not this one; then the reason is written down."""
    known = {name for name, _ in EXAMPLES}
    found = {
        (entry.name, syndrome): "another one there"
        for entry in dataset.entries
        if form.is_toxic(entry.verdict) and entry.name in known
        for syndrome in entry.syndromes
        if (entry.name, syndrome) not in EXAMPLES
    }
    settle("syndromes/others", found, len(known))


@pytest.mark.parametrize("row", [row for row in ROWS if row["onset_min_h"]], ids=lambda row: row["id"])
def test_the_onset_is_as_wide_as_there(row, form):
    onsets = form.vocabularies["syndromes"][row["id"]].more["onsets"]
    phases = MEASURED.get(row["id"], {"first"})
    ours = [each for each in onsets if each["phase"] in phases]
    assert min(each.get("low_h", float("inf")) for each in ours) <= float(row["onset_min_h"])
    assert max(each.get("high_h", 0) for each in ours) >= float(row["onset_max_h"])


def test_every_syndrome_of_the_table_is_there(form):
    assert {row["id"] for row in ROWS} == set(form.vocabularies["syndromes"])
