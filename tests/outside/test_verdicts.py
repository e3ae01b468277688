"""Nothing that others call poisonous is eaten here without a reason.

Sources: WordNet 3.0 (see wordnet/README.md) and Wagner, Heider and Hattab 2021 (see wagner2021/README.md). One way
only: where others are milder, this house stays as strict as it is, and the difference is printed for a reader.
"""

from __future__ import annotations

import pytest

from tests.outside.facts import rows, settle, words

POISONOUS = {"poisonous", "deadly"}


def wordnet() -> list[tuple[str, str]]:
    return [(name, row["read_as"]) for row in rows("wordnet/glosses.csv") for name in words(row["binomials"])]


def wagner() -> list[tuple[str, str]]:
    return [(row["name"], {"p": "poisonous", "e": "edible"}[row["class"]]) for row in rows("wagner2021/species.csv")]


SOURCES = {"wordnet": wordnet, "wagner2021": wagner}


def beside(said: list[tuple[str, str]], checklist) -> list[tuple[str, str, str]]:
    """Return name of the entry, what others say and its verdict, for each name that the checklist knows."""
    found = [(checklist.find(name).one, says) for name, says in said]
    return [(entry.name, says, entry.verdict) for entry, says in found if entry]


@pytest.mark.parametrize("source", SOURCES)
def test_what_others_call_poisonous_is_not_eaten_here_without_a_reason(source, checklist, form):
    known = beside(SOURCES[source](), checklist)
    assert len(known) >= 20, "too few names in common to say anything"
    milder = {
        (name, "verdict"): f"{says} there, {verdict} here"
        for name, says, verdict in known
        if says in POISONOUS and form.is_edible(verdict)
    }
    about = [each for each in known if each[1] in POISONOUS]
    settle(f"{source}/verdicts", milder, len(about))


@pytest.mark.parametrize("source", SOURCES)
def test_the_other_way_is_a_report(source, checklist, form):
    """Printed by ``pytest -rP``: what others eat and this house does not."""
    known = beside(SOURCES[source](), checklist)
    stricter = [
        f"{name}: {verdict}" for name, says, verdict in known if "edible" in says and form.is_dangerous(verdict)
    ]
    print(f"{source}: {len(stricter)} eaten there and dangerous here", *stricter, sep="\n  ")
    assert all(
        says in {"poisonous", "deadly", "edible", "edible-with-conditions", "not-recommended"} for _, says, _ in known
    )
