"""Weighs a usage as a candidate for a name: how well spelling, authors, place, rank and status agree.

Source: scores of the GBIF name matching service, version 2, as of 2026-05. The numbers are the service's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from sporeproof.names.matching.alike import similarity
from sporeproof.names.matching.asked import Asked
from sporeproof.names.matching.authors import DIFFERENT, EQUAL, authors_compared, normal_authorship
from sporeproof.names.matching.ranks import (
    GENUS,
    NO_PLACE,
    ORDINAL,
    SPECIES,
    SPECIES_AGGREGATE,
    is_below_genus,
    is_infrageneric,
    is_infraspecific,
    is_suprageneric,
)
from sporeproof.names.matching.usage import Taxon, Usage

FUZZY, STRICT, HIGHER = "fuzzy", "strict", "higher"

BY_STATUS = {"ACCEPTED": 1, "AMBIGUOUS_SYNONYM": -1, "PROPARTE_SYNONYM": -1, "PROVISIONALLY_ACCEPTED": -5,
             "DOUBTFUL": -5, "MISAPPLIED": -10}  # fmt: skip
# A classification's ranks: what a match, a difference and a missing name are worth.
BY_PLACE = {
    "KINGDOM": (5, -10, -1), "PHYLUM": (10, -10, -1), "CLASS": (15, -10, 0), "ORDER": (15, -10, 0),
    "FAMILY": (25, -15, 0), "GENUS": (2, 1, 0),
}  # fmt: skip
SAME_TAXON = {"lichens": "fungi", "metazoa": "animalia", "animal": "animalia", "plant": "plantae", "monera": "bacteria",
              "protista": "protozoa", "algae": "", "eukarya": ""}  # fmt: skip
NO_TAXON = frozenset({"unknown", "incertae", "n/a", "unplaced", "unassigned", "none", "null", "not"})
LARGE = frozenset({"animalia", "plantae"})
LOWER = frozenset({"bacteria", "archaea", "viruses"})
KINGDOMS = frozenset({"animalia", "archaea", "bacteria", "chromista", "fungi", "plantae", "protozoa", "viruses"})
EXCHANGED = frozenset({"archaea", "bacteria", "fungi", "chromista", "protozoa", "incertae sedis"})
UNCERTAIN = "incertae sedis"
VAGUE = frozenset({"SUPRAGENERIC_NAME", "INFRAGENERIC_NAME", "INFRASPECIFIC_NAME", "INFRASUBSPECIFIC_NAME", *NO_PLACE})
CULTIVATED = frozenset({"STRAIN", "CULTIVAR", "CULTIVAR_GROUP"})
MOST_BONUS = 5


@dataclass(frozen=True, slots=True)
class Candidate:
    """A usage that may be meant: with what it is a synonym of, its place, and its normal form.

    ``lineage`` goes from the root down to the accepted usage. ``distance`` counts the edits from what was asked.
    """

    usage: Usage
    normal: str
    accepted: Usage | None = None
    lineage: tuple[Taxon, ...] = ()
    distance: int = 0

    def at(self, rank: str) -> str:
        """Return the name at a rank of its classification, empty where there is none."""
        return next((each.name for each in self.lineage if each.rank == rank), "")


def score(asked: Asked, normal: str, candidate: Candidate, mode: str) -> float:
    """Return the raw score of a candidate; ``normal`` is the normal form of what is asked."""
    usage = candidate.usage
    status = BY_STATUS.get(usage.status, 0)
    rank = rank_similarity(asked.rank, usage.rank)
    name = _name(asked, normal, candidate)
    if mode == HIGHER:
        return name + place_similarity(asked.higher, candidate) + 2 * rank + status
    authors = authors_similarity(asked, usage)
    if mode == STRICT:
        kingdom = kingdom_similarity(asked.kingdom, candidate.at("KINGDOM"))
        authors *= 2
        return name + _heavy(authors, 2) + _heavy(kingdom, 10) + _heavy(rank, 10) + status
    return name + _heavy(authors, 2) + place_similarity(asked.higher, candidate) + rank + status


def _heavy(value: float, times: int) -> float:
    """What speaks against a candidate weighs more than what speaks for it."""
    return value * times if value < 0 else value


def _name(asked: Asked, normal: str, candidate: Candidate) -> float:
    canonical = candidate.usage.canonical
    has_blank = " " in canonical
    if asked.canonical.lower() == canonical.lower():
        return 100 + (0 if asked.scientific and not has_blank else 10 if asked.scientific else 20)
    value = similarity(normal, candidate.normal) - 5
    if has_blank:
        value += 5 if asked.canonical.startswith(canonical.split(" ")[0]) else -10
    return value if asked.scientific else value - 50


def authors_similarity(asked: Asked, usage: Usage) -> float:
    """Return what the authors are worth."""
    if not asked.authorship:
        return 0
    if not usage.authorship:
        return 0 if asked.is_autonym else -1
    factor = 2 if is_suprageneric(usage.rank) else 6
    told = authors_compared(asked.authorship, usage.authorship)
    value = 2 * factor if told == EQUAL else -3 * factor if told == DIFFERENT else 0
    same = normal_authorship(asked.authorship) == normal_authorship(usage.authorship)
    return value + ((1 if asked.is_autonym else 8) if same else 0)


def place_similarity(higher: dict[str, str], candidate: Candidate) -> float:
    """Return what the classification is worth, -60 to 50."""
    total = 0
    for rank, (same, other, missing) in BY_PLACE.items():
        mine, theirs = _taxon(higher.get(rank.lower(), "")), _taxon(candidate.at(rank))
        if not mine or not theirs:
            total += missing
        elif mine == theirs and mine not in NO_TAXON:
            total += same
        else:
            total += other if rank != "KINGDOM" else _kingdoms_differ(mine, theirs)
    return max(-60, min(50, total))


def _taxon(name: str) -> str:
    """Return the first word of a higher taxon, as it is held against another."""
    word = name.lower().split(" ")[0]
    return SAME_TAXON.get(word, word)


def _kingdoms_differ(mine: str, theirs: str) -> int:
    off = -10
    if mine in LARGE:
        off = -51 if theirs in LARGE else -31 if theirs in LOWER else -10
    return off - (10 if theirs == "viruses" else 0)


def kingdom_similarity(mine: str, theirs: str) -> int:
    """Return what the kingdoms are worth where only the same will do."""
    one, other = mine.lower(), theirs.lower()
    known = KINGDOMS | {UNCERTAIN}
    if one not in known or other not in known:
        return 0
    if UNCERTAIN in {one, other}:
        return 7
    if one == other:
        return 10
    return 8 if {one, other} <= EXCHANGED else -10


@lru_cache(maxsize=4096)
def rank_similarity(asked: str, there: str) -> int:
    """Return what two ranks are worth, -35 to 6."""
    return max(-35, min(6, _ranks(asked, there)))


def _ranks(asked: str, there: str) -> int:
    """Return the worth of two ranks before it is clipped; the order of the questions is the service's."""
    off = -7 if there in CULTIVATED and asked != there else 0
    if not there:
        return -1 + off
    if not asked or asked in NO_PLACE or there in NO_PLACE:
        return (-1 if not asked and there in NO_PLACE else 0) + off
    if asked == there:
        return 6 + off
    for vague, is_member in (("INFRASPECIFIC_NAME", is_infraspecific), ("INFRAGENERIC_NAME", is_infrageneric)):
        if vague in {asked, there}:
            if is_member(asked) and is_member(there):
                return 5 + off
            if vague == "INFRAGENERIC_NAME" and GENUS in {asked, there}:
                return 4 + off
    if {asked, there} == {SPECIES, SPECIES_AGGREGATE}:
        return 2 + off
    below = is_below_genus(asked), is_below_genus(there)
    if below[0] != below[1] or (all(below) and is_infraspecific(asked) != is_infraspecific(there)):
        return -30 + off
    above = is_suprageneric(asked), is_suprageneric(there)
    if above[0] != above[1]:
        return -35 + off
    if VAGUE & {asked, there}:
        return -3 + off
    apart = abs(ORDINAL.get(asked, 0) - ORDINAL.get(there, 0))
    return -(apart // 2 if any(above) else apart) + off


def bonus(best: float, second: float | None) -> int:
    """Return what the best candidate gains by its lead; a sole one gains all."""
    return MOST_BONUS if second is None else min(MOST_BONUS, math.floor((best - second) / 2))


def confidence(raw: float) -> int:
    """Return a score as confidence, 0 to 100."""
    if raw > 80:  # noqa: PLR2004
        raw = round(75.8 + 26 * (math.log10((raw - 70) * 1.5) - 1))
    return int(max(0, min(100, raw)))
