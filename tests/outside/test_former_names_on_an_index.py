"""Every current and former name of a list of European fungi, asked of an index that holds them.

Source: taxa_names/names.csv (see its README). Keys are invented, and all is put into Fungi without more places.
"""

from __future__ import annotations

import csv
import random
from pathlib import Path

import pytest

from sporeproof.names.matching.asked import Given, asked_all
from sporeproof.names.verdict import judged
from tests.bench.names import LETTERS, exchanged, may_pass
from tests.names.checklist import held

FILE = Path(__file__).parent / "taxa_names" / "names.csv"
EDITS, OF_EDITS, OF_ENDINGS = 2000, 0.99, 0.95
SHARED = "Agaricus duplicatus"  # invented: a former name that two species of the list are given here


def listed() -> dict[str, list[str]]:
    with FILE.open(encoding="utf-8", newline="") as file:
        return {row["binomial"]: row["former_binomials"].split("|") for row in csv.DictReader(file)}


NAMES = listed()
FORMER = {former: binomial for binomial, formers in NAMES.items() for former in formers if former}
TWO = list(NAMES)[:2]


def rank_of(name: str) -> str:
    return "variety" if " var. " in name else "species"


def rows() -> list[tuple[str, ...]]:
    found = [("F", "", "accepted", "kingdom", "Fungi", "")]
    found += [(f"A{at}", "F", "accepted", "species", name, "") for at, name in enumerate(NAMES)]
    keys = {name: f"A{at}" for at, name in enumerate(NAMES)}
    found += [(f"S{at}", keys[to], "synonym", rank_of(old), old, "") for at, (old, to) in enumerate(FORMER.items())]
    return found + [(f"T{at}", keys[to], "synonym", "species", SHARED, "") for at, to in enumerate(TWO)]


@pytest.fixture(scope="module")
def found():
    with held(rows()) as asking:
        yield asking.found


def all_judged(found, names, **higher: str):
    asked = asked_all(Given(name, "", "", higher) for name in names)
    return [judged(one, match) for one, match in zip(asked, found.matches(asked), strict=True)]


def test_the_list_is_whole():
    assert (len(NAMES), len(FORMER)) == (273, 355)
    assert not set(NAMES) & set(FORMER)


@pytest.mark.parametrize("higher", [{"kingdom": "Fungi"}, {}])
def test_every_current_name_is_current(found, higher):
    verdicts = all_judged(found, NAMES, **higher)
    wrong = [(name, each) for name, each in zip(NAMES, verdicts, strict=True)
             if (each.outcome, each.accepted and each.accepted.canonical) != ("current", name)]  # fmt: skip
    assert wrong == []


@pytest.mark.parametrize("higher", [{"kingdom": "Fungi"}, {}])
def test_every_former_name_leads_to_its_species(found, higher):
    verdicts = all_judged(found, FORMER, **higher)
    wrong = [(old, each) for (old, now), each in zip(FORMER.items(), verdicts, strict=True)
             if (each.outcome, each.accepted and each.accepted.canonical) != ("renamed", now)]  # fmt: skip
    assert wrong == []


@pytest.mark.parametrize("higher", [{"kingdom": "Fungi"}, {}])
def test_a_former_name_of_two_species_is_settled_for_neither(found, higher):
    (verdict,) = all_judged(found, [SHARED], **higher)
    assert verdict.outcome == "homonym"
    assert {each.canonical for each in verdict.candidates} == set(TWO)


@pytest.mark.parametrize("kingdom", ["Plantae", "Animalia", "Protozoa", "Chromista"])
def test_in_another_kingdom_no_name_is_settled(found, kingdom):
    names = [*list(NAMES)[:20], *list(FORMER)[:20]]
    assert {each.outcome for each in all_judged(found, names, kingdom=kingdom)} == {"unknown"}


def edited(name: str, chance: random.Random) -> str:
    """Return a name with one edit behind the first letter of a word: put in, left out, exchanged, or swapped."""
    words = name.split(" ")
    at = chance.randrange(len(words))
    word, letter = words[at], chance.choice(LETTERS)
    place = chance.randrange(1, len(word) - 1)
    words[at] = chance.choice([
        word[:place] + letter + word[place:],
        word[:place] + word[place + 1 :],
        word[:place] + letter + word[place + 1 :],
        word[:place] + word[place + 1] + word[place] + word[place + 2 :],
    ])  # fmt: skip
    return " ".join(words)


def taxon_of(name: str) -> str:
    return FORMER.get(name, name)


def shares(found, pairs: list[tuple[str, str]]) -> tuple[float, float, float]:
    """Return what is suggested of all, what the rules let pass of all, and what is suggested of those."""
    asked = asked_all(Given(wrong, "", "", {"kingdom": "Fungi"}) for _, wrong in pairs)
    right = [_is_right(name, match) for (name, _), match in zip(pairs, found.matches(asked), strict=True)]
    allowed = [may_pass(one, name) for (name, _), one in zip(pairs, asked, strict=True)]
    both = sum(is_right for is_right, may in zip(right, allowed, strict=True) if may)
    return sum(right) / len(pairs), sum(allowed) / len(pairs), both / sum(allowed)


def _is_right(name: str, match) -> bool:
    return match.match_type in {"EXACT", "VARIANT"} and match.usage.canonical == name


def binomials() -> list[str]:
    return [name for name in [*NAMES, *FORMER] if len(name.split(" ")) == 2 and min(map(len, name.split(" "))) > 2]


def test_a_single_edit_is_answered_with_the_right_name(found):
    chance, known, pairs = random.Random(20), {*NAMES, *FORMER}, []
    while len(pairs) < EDITS:
        name = chance.choice(binomials())
        if (wrong := edited(name, chance)) not in known:
            pairs.append((name, wrong))
    of_all, allowed, of_allowed = shares(found, pairs)
    print(f"edits: {of_all:.2%} of all, {allowed:.2%} may pass, of those {of_allowed:.2%}")
    assert allowed > 0.4  # else the next line says little
    assert of_allowed >= OF_EDITS


def test_another_ending_is_answered_with_the_right_name(found):
    chance, known = random.Random(20), {*NAMES, *FORMER}
    pairs = [(name, other) for name in binomials() for _ in range(3) if (other := exchanged(name, chance))]
    pairs = sorted({(name, other) for name, other in pairs if other not in known})
    of_all, allowed, of_allowed = shares(found, pairs)
    print(f"endings: {len(pairs)}, {of_all:.2%} of all, {allowed:.2%} may pass, of those {of_allowed:.2%}")
    assert len(pairs) > 300
    assert of_allowed >= OF_ENDINGS


def test_a_misspelt_name_is_never_settled(found):
    chance, known = random.Random(21), {*NAMES, *FORMER}
    wrong = [other for name in binomials() if (other := edited(name, chance)) not in known]
    outcomes = {each.outcome for each in all_judged(found, wrong, kingdom="Fungi")}
    assert outcomes <= {"respelled", "higher-only", "unknown", "homonym", "split", "doubtful"}
    assert "respelled" in outcomes
