"""Figures of a dataset: against a plain reading of the files, and against counts made by hand."""

from __future__ import annotations

from collections import Counter

import pytest
import yaml

from sporeproof.confusion.statistics import STATISTICS_TABLES, statistics
from sporeproof.records.entry import Entry
from sporeproof.tables.build import Facts, build
from sporeproof.tables.resolve import Checklist
from tests.conftest import ROOT

# Invented: a ball, of which nobody asks a cap, and a fungus with a cap of which nothing else is known.
BALL = {"body": "ball", "hymenophore": "enclosed", "skin": "thin"}
CAP = {"body": "cap-and-stem", "volva": "none", "cap-width": [10, 20]}


@pytest.fixture(scope="module")
def plain() -> list[dict]:
    return [yaml.safe_load(path.read_text("utf-8")) for path in sorted((ROOT / "dataset/taxa").glob("*.yaml"))]


@pytest.fixture(scope="module")
def real(form, dataset):
    facts = Facts(Checklist(dataset.entries), form, dataset.companions["sources"].value, [])
    return {each.title: each for each in statistics(build(facts, STATISTICS_TABLES), form)}


def of(form, *characters: dict) -> dict[str, dict[str, tuple]]:
    entries = [
        Entry(f"dataset/taxa/{at}.yaml", "", {"id": f"F900{at}", "name": f"Fictum {at}", "characters": each})
        for at, each in enumerate(characters)
    ]
    tables = build(Facts(Checklist(entries), form, {}, []), STATISTICS_TABLES)
    return {each.title: {row[0]: row[1:] for row in each.rows} for each in statistics(tables, form)}


def test_verdicts_are_those_of_the_files(real, plain):
    written = Counter(each["edibility"]["verdict"] for each in plain)
    assert {verdict: count for verdict, count in real["Taxa by verdict"].rows if count} == written


def test_verdicts_that_no_taxon_has_are_told(real, form):
    assert [verdict for verdict, _ in real["Taxa by verdict"].rows] == list(form.vocabularies["verdicts"])


def test_every_way_of_counting_counts_every_taxon(real, plain):
    for title in ("Taxa by verdict", "Taxa by evidence of the verdict", "Taxa by review state"):
        assert sum(count for _, count in real[title].rows) == len(plain), title


def test_what_is_recorded_is_what_the_files_hold(real, plain):
    recorded = {name: count for name, count, *_ in real["Completeness by entry"].rows}
    assert recorded == {each["name"]: len(each["characters"]) for each in plain}


def test_the_two_tables_of_completeness_agree(real):
    by_entry, by_character = (real[f"Completeness by {of}"].rows for of in ("entry", "character"))
    assert [sum(row[at] for row in by_entry) for at in (1, 2)] == [
        sum(row[at] for row in by_character) for at in (1, 2)
    ]


def test_nobody_asks_a_ball_for_its_cap(form):
    figures = of(form, BALL, CAP)["Completeness by character"]
    assert figures["skin"] == (1, 1, 100)
    assert figures["cap-shape"] == (0, 1, 0)
    assert figures["cap-width"] == (1, 2, 50)


def test_what_may_apply_is_asked_for(form):
    """With the fertile surface unknown, gills may be there; with a closed one, they are not."""
    assert of(form, CAP)["Completeness by character"]["gill-spacing"] == (0, 1, 0)
    assert of(form, BALL)["Completeness by character"]["gill-spacing"] == (0, 0, 0)


def test_the_least_complete_comes_first(real):
    for title in ("Completeness by entry", "Completeness by character"):
        shares = [row[3] for row in real[title].rows]
        assert shares == sorted(shares)


def test_shares_are_rounded_down(real):
    for _, recorded, asked, share in real["Completeness by entry"].rows:
        assert share * asked <= 100 * recorded < (share + 1) * asked
