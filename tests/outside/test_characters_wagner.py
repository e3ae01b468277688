"""Sizes, gills, ring, print and season against Wagner, Heider and Hattab 2021 (see wagner2021/README.md).

A difference is theirs that ours does not hold: a size beyond our range by more than a quarter, a state or a season
that our entry leaves out. What ours holds beyond theirs is no difference, since entries list rare states too.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from sporeproof.records.entry import Entry
from sporeproof.tables.build import months
from tests.outside.facts import rows, settle, words

LEEWAY = 0.25
# Letters of the source and our states. From memory; the test below holds them against fungi that everybody knows.
ATTACHMENT = {
    "a": {"adnate", "subdecurrent"},
    "x": {"adnexed"},
    "d": {"decurrent", "subdecurrent"},
    "e": {"free"},
    "s": {"notched"},
}
SURFACE = {"p": {"pores", "maze"}}
NO_GILLS = "f"
PRINT = {
    "w": {"white", "cream"},
    "k": {"black", "purple-brown", "dark-brown"},
    "p": {"pale-pink", "salmon"},
    "n": {"rusty-brown", "clay", "dark-brown"},
    "u": {"purple-brown", "black"},
    "y": {"cream", "ochre"},
    "o": {"ochre"},
    "r": {"green"},
    "g": {"pale-lilac"},
}
SEASONS = {"s": {3, 4, 5}, "u": {6, 7, 8}, "a": {9, 10, 11}, "w": {12, 1, 2}}
STANDING = {"present", "zone", "cobweb"}
SIZES = {"cap_cm": ("cap-width", 10), "stem_cm": ("stem-length", 10), "stem_mm": ("stem-width", 1)}


def states(entry: Entry, character: str) -> set[str]:
    value = entry.characters.get(character)
    return set().union(*value.by_stage.values()) if value and not value.is_range else set()


def sizes(entry: Entry, row: dict[str, str]) -> Iterator[tuple[str, str | None]]:
    for column, (character, factor) in SIZES.items():
        value = entry.characters.get(character)
        if row[column] and value and value.is_range:
            theirs = [factor * float(each) for each in words(row[column])]
            low, high = min(low for low, _ in value.by_stage.values()), max(high for _, high in value.by_stage.values())
            beyond = theirs[-1] > high * (1 + LEEWAY) or theirs[0] < low * (1 - LEEWAY)
            yield character, f"{theirs} there, {low}-{high} here" if beyond else None


def surface(entry: Entry, row: dict[str, str]) -> Iterator[tuple[str, str | None]]:
    gilled = "gills" in states(entry, "hymenophore")
    for letter in words(row["attachment"]):
        if letter in ATTACHMENT:
            ours = states(entry, "gill-attachment")
            yield "gill-attachment", None if ours & ATTACHMENT[letter] else f"{letter} there, {sorted(ours)} here"
        elif letter in SURFACE:
            ours = states(entry, "hymenophore")
            yield "hymenophore", None if ours & SURFACE[letter] else f"{letter} there, {sorted(ours)} here"
        else:
            yield "hymenophore", "no gills there, gills here" if gilled and letter == NO_GILLS else None


def ring(entry: Entry, row: dict[str, str]) -> Iterator[tuple[str, str | None]]:
    ours = states(entry, "ring")
    if ours and row["ring"]:
        agree = ours & STANDING if row["ring"] == "t" else ours != {"present"}
        yield "ring", None if agree else f"{row['ring']} there, {sorted(ours)} here"


def prints(entry: Entry, row: dict[str, str]) -> Iterator[tuple[str, str | None]]:
    ours = states(entry, "spore-print")
    for letter in words(row["print"]) if ours else []:
        yield "spore-print", None if ours & PRINT[letter] else f"{letter} there, {sorted(ours)} here"


def season(entry: Entry, row: dict[str, str]) -> Iterator[tuple[str, str | None]]:
    ours = set(months(entry.value["season"]))
    missing = [letter for letter in words(row["season"]) if not SEASONS[letter] & ours]
    yield "season", f"{missing} there, {sorted(ours)} here" if missing else None


PARTS = (sizes, surface, ring, prints, season)


def test_every_difference_is_explained(checklist):
    compared, found = 0, {}
    for row in rows("wagner2021/species.csv"):
        entry = checklist.find(row["name"]).one
        for part in PARTS if entry else ():
            for about, said in part(entry, row):
                compared += 1
                if said:
                    found[(entry.name, about)] = said
    assert compared > 100
    settle("wagner2021/characters", found, compared)


# Common practice, no source: what everybody knows of these, which the letters must not contradict.
KNOWN = [
    ("Agaricus campestris", "attachment", "e"),
    ("Boletus edulis", "attachment", "p"),
    ("Pleurotus ostreatus", "attachment", "d"),
    ("Cantharellus cibarius", "attachment", "f"),
    ("Calocybe gambosa", "attachment", "s"),
    ("Calocybe gambosa", "season", "s|u"),
    ("Amanita muscaria", "ring", "t"),
    ("Marasmius oreades", "ring", "f"),
    ("Pluteus cervinus", "print", "p"),
    ("Cortinarius sanguineus", "print", "n"),
    ("Flammulina velutipes", "season", "s|a|w"),
]


@pytest.mark.parametrize(("name", "column", "letters"), KNOWN)
def test_the_letters_mean_what_we_take_them_for(name, column, letters):
    (row,) = (each for each in rows("wagner2021/species.csv") if each["name"] == name)
    assert row[column] == letters
