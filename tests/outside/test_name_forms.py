"""The form of names against examples of the Code (``icnafp/README.md``): each comes out, or stands here with why."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from sporeproof.names.parse import faults
from sporeproof.names.spelling import spelling_of

ROOT = Path(__file__).parents[2]
SCHEMA = ROOT / "schema"
CASES = yaml.safe_load((Path(__file__).parent / "icnafp" / "name_forms.yaml").read_text("utf-8"))
# Name and authorship of a case that we judge otherwise, with the reason.
OTHERWISE: dict[tuple[str, str], str] = {}


def kinds(case: dict[str, str]) -> set[str]:
    found = faults(case["name"], case["authorship"], case["rank"], SCHEMA)
    return {each.kind for each in found} or {"none"}


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['name']} {case['authorship']}".strip())
def test_each_form_comes_out_with_its_one_trouble(case):
    if (case["name"], case["authorship"]) in OTHERWISE:
        assert kinds(case) != {case["trouble"]}, "judged as written now: take it off the list"
    else:
        assert kinds(case) == {case["trouble"]}


def test_there_are_as_many_cases_as_ever():
    assert len(CASES) == 111


@pytest.mark.parametrize("case", [each for each in CASES if each["trouble"] == "gender"], ids=lambda each: each["name"])
def test_the_right_gender_is_the_one_that_the_case_gives(case):
    (fault,) = faults(case["name"], case["authorship"], case["rank"], SCHEMA)
    assert fault.right in case["expect"]


@pytest.mark.parametrize(
    ("name", "authorship", "rank", "kind"),
    [
        ("Amanita phalloides Fr.", "", "species", "not-a-name"),
        ("Amanita phalloides virus", "", "species", "rank-term"),
        ("Amanita phalloides var. alba f. minor", "", "", "not-a-name"),
        ("Amanita muscaria", "", "genus", "not-a-name"),
        ("Amanita muscaria var. alba", "", "species", "rank-term"),
        ("Amanita muscaria subsp. alba", "", "variety", "rank-term"),
        ("Amаnita phalloides", "", "species", "foreign-sign"),  # the third letter is Cyrillic
        ("Amanita phalloides", "(Vaill. ex Fr.) Link 1833", "species", "authorship-form"),
        ("Amanita phalloides", "(Vaill.) (Fr.) Link", "species", "authorship-form"),
        ("AMANITA phalloides", "", "species", "genus-not-capital"),
        ("Tricholoma albo--brunneum", "", "species", "hyphen"),
    ],
)
def test_what_the_examples_do_not_show(name, authorship, rank, kind):
    assert [each.kind for each in faults(name, authorship, rank, SCHEMA)] == [kind]


def test_a_group_may_end_in_the_word_and_a_former_name_says_its_own_rank():
    assert faults("Armillaria mellea group", "", "species-group", SCHEMA) == ()
    assert faults("Inocybe geophylla var. lilacina", "(Peck) Gillet", "", SCHEMA) == ()


def test_every_rank_of_the_file_stands_in_the_vocabulary():
    ranks = {each["id"] for each in yaml.safe_load((SCHEMA / "vocabularies" / "ranks.yaml").read_text())["terms"]}
    spelling = spelling_of(SCHEMA)
    assert {*spelling.terms, *spelling.one_word, *spelling.ends_with} <= ranks
