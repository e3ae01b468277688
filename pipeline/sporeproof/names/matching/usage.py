"""What a checklist holds of a name, and what a match of a name comes to; the words are the service's own.

Source of the words: GBIF name matching service, version 2, as of 2026-05 (ranks: GBIF name parser).
"""

from __future__ import annotations

from dataclasses import dataclass

EXACT = "EXACT"
VARIANT = "VARIANT"
HIGHERRANK = "HIGHERRANK"
NONE = "NONE"

ACCEPTED = "ACCEPTED"
SYNONYM = "SYNONYM"
AMBIGUOUS_SYNONYM = "AMBIGUOUS_SYNONYM"
PROVISIONALLY_ACCEPTED = "PROVISIONALLY_ACCEPTED"
MISAPPLIED = "MISAPPLIED"

NO_MATCH = "NO_MATCH"
MULTIPLE = "MULTIPLE_MATCHES_SAME_CONFIDENCE"
LOW_CONFIDENCE = "LOW_CONFIDENCE"
NO_NAME = "NO_NAME_SUPPLIED"
NO_LOWEST_DENOMINATOR = "NO_LOWEST_DENOMINATOR"


@dataclass(frozen=True, slots=True)
class Taxon:
    """One step of a classification: its key, its name without author, its rank."""

    key: str
    name: str
    rank: str


@dataclass(frozen=True, slots=True)
class Usage:
    """One name as a checklist uses it. ``canonical`` has no author; ``status`` is empty where it is not told."""

    key: str
    canonical: str
    authorship: str = ""
    rank: str = ""
    status: str = ""

    @property
    def whole(self) -> str:
        """The name with its author."""
        return f"{self.canonical} {self.authorship}".strip()


@dataclass(frozen=True, slots=True)
class Match:
    """What a checklist answers to one name.

    ``accepted`` is there for a synonym only. ``classification`` goes from the root to the accepted usage.
    ``alternatives`` are the other usages that were weighed. ``confidence`` is 0 to 100, None where none is told.
    """

    match_type: str = NONE
    confidence: int | None = None
    usage: Usage | None = None
    accepted: Usage | None = None
    classification: tuple[Taxon, ...] = ()
    alternatives: tuple[Match, ...] = ()
    flags: tuple[str, ...] = ()
    note: str = ""
    distance: int | None = None

    @property
    def taxon(self) -> Usage | None:
        """The usage that is accepted: the matched one, or what it is a synonym of."""
        return self.accepted or self.usage

    def higher(self, rank: str) -> str:
        """Return the name at a rank of the classification; empty where there is none."""
        return next((each.name for each in self.classification if each.rank == rank), "")
