"""What a match of a name means for us: one outcome, stricter than the service's own word for it.

Confidence decides nothing. A higher rank is no match of a species, a variant is a suggestion, and a name that
says of itself that it is meant otherwise is never settled. Both ways of asking, the live service and a downloaded
backbone, are judged here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sporeproof.names.matching.asked import Asked
from sporeproof.names.matching.authors import DIFFERENT, EQUAL, authors_compared
from sporeproof.names.matching.ranks import GENUS, is_below_genus
from sporeproof.names.matching.usage import (
    ACCEPTED,
    AMBIGUOUS_SYNONYM,
    EXACT,
    HIGHERRANK,
    MULTIPLE,
    NO_LOWEST_DENOMINATOR,
    NONE,
    SYNONYM,
    VARIANT,
    Match,
    Usage,
)
from sporeproof.names.outcome import CURRENT, DOUBTFUL, HIGHER_ONLY, HOMONYM, RENAMED, RESPELLED, SPLIT, UNKNOWN

# Version 1 of the service and older downloads call them so.
SYNONYMS = frozenset({SYNONYM, "HOMOTYPIC_SYNONYM", "HETEROTYPIC_SYNONYM"})
PRO_PARTE = frozenset({AMBIGUOUS_SYNONYM, "PROPARTE_SYNONYM"})


@dataclass(frozen=True, slots=True)
class Verdict:
    """An outcome, the usage that it speaks of, the taxa that it may be where there are several, and why."""

    outcome: str
    accepted: Usage | None = None
    candidates: tuple[Usage, ...] = ()
    because: str = ""


def judged(asked: Asked, match: Match) -> Verdict:
    """Return what a match means; the first doubt decides."""
    if match.match_type == NONE or match.usage is None:
        return _nothing(match)
    if match.match_type == HIGHERRANK and len(tied := _tied(asked, match)) > 1:
        return Verdict(HOMONYM, candidates=tied, because="the spelling is there more than once")
    if match.match_type == HIGHERRANK or asked.is_indet:
        return Verdict(HIGHER_ONLY, match.usage, because="only something higher was matched")
    doubt = next(_doubts(asked, match, match.usage), None)
    if doubt:
        return doubt
    if match.match_type == VARIANT or not _same_letters(asked.canonical, match.usage.canonical):
        return Verdict(RESPELLED, match.taxon, because=f"spelt {match.usage.canonical} there")
    if match.match_type != EXACT:
        return Verdict(DOUBTFUL, match.usage, because=f"the match is called {match.match_type}")
    return _of_status(match, match.usage)


def _nothing(match: Match) -> Verdict:
    """Several that weigh the same are a homonym; nothing is nothing."""
    if {MULTIPLE, NO_LOWEST_DENOMINATOR} & set(match.flags) or match.note.startswith("Multiple equal matches"):
        return Verdict(HOMONYM, candidates=_taxa(match), because="several weigh the same")
    return Verdict(UNKNOWN)


def _doubts(asked: Asked, match: Match, usage: Usage) -> Iterator[Verdict]:
    """Yield what forbids to take a match for what was asked, the gravest first."""
    if asked.marks or not asked.scientific:
        yield Verdict(DOUBTFUL, usage, because=f"the name says {', '.join(asked.marks) or 'more than one taxon'}")
    if asked.kingdom and (there := match.higher("KINGDOM")).lower() != asked.kingdom.lower():
        if there:
            yield Verdict(UNKNOWN, usage, because=f"it is one of {there} there")
        yield Verdict(DOUBTFUL, usage, because="its kingdom is not told there")
    if " " not in asked.canonical and not asked.rank:
        yield Verdict(HIGHER_ONLY, usage, because="a bare genus was asked, or something higher")
    if asked.rank and usage.rank != asked.rank:
        higher = is_below_genus(asked.rank) and not is_below_genus(usage.rank)
        yield Verdict(HIGHER_ONLY if higher else DOUBTFUL, usage, because=f"it is of rank {usage.rank} there")
    rivals = _rivals(asked, match)
    if len(rivals) > 1:
        yield Verdict(HOMONYM, candidates=rivals, because="the spelling is there more than once")
    if match.match_type == EXACT and authors_compared(asked.authorship, usage.authorship) == DIFFERENT:
        yield Verdict(DOUBTFUL, usage, because=f"its author is {usage.authorship} there")


def _of_status(match: Match, usage: Usage) -> Verdict:
    """Return what an exact match means by its status."""
    if usage.status in PRO_PARTE:
        return Verdict(SPLIT, candidates=_taxa(match), because="it is a synonym of several")
    if usage.status == ACCEPTED and match.accepted is None:
        return Verdict(CURRENT, usage)
    if usage.status not in SYNONYMS or match.accepted is None:
        return Verdict(DOUBTFUL, match.taxon, because=f"its status is {usage.status or 'not told'}")
    if match.accepted.status not in {"", ACCEPTED}:
        return Verdict(DOUBTFUL, match.accepted, because=f"it leads to a name of status {match.accepted.status}")
    if match.accepted.rank == GENUS or (not is_below_genus(match.accepted.rank) and is_below_genus(usage.rank)):
        return Verdict(HIGHER_ONLY, match.accepted, because="it leads to something higher")
    if _same_letters(match.accepted.canonical, usage.canonical):
        return Verdict(HOMONYM, candidates=(usage, match.accepted), because="it leads to a name spelt the same")
    return Verdict(RENAMED, match.accepted)


def _rivals(asked: Asked, match: Match) -> tuple[Usage, ...]:
    """Return the taxa that usages spelt alike lead to, where nothing that was asked tells them apart."""
    alike = [each for each in (match, *match.alternatives) if each.usage and _may_be_meant(asked, match, each)]
    told = [authors_compared(asked.authorship, each.usage.authorship) if each.usage else "" for each in alike]
    if EQUAL in told:
        alike = [each for each, said in zip(alike, told, strict=True) if said == EQUAL]
    return tuple({each.taxon.key: each.taxon for each in alike if each.taxon}.values())


def _tied(asked: Asked, match: Match) -> tuple[Usage, ...]:
    """Return the taxa of usages that are spelt as asked, where only what they have in common was answered."""
    if asked.marks or asked.is_indet or not asked.scientific:
        return ()
    alike = [each for each in match.alternatives if each.usage and _same_letters(each.usage.canonical, asked.canonical)]
    kept = [each for each in alike if each.match_type == EXACT and _in_place(asked, each)]
    return tuple({each.taxon.key: each.taxon for each in kept if each.taxon}.values())


def _in_place(asked: Asked, other: Match) -> bool:
    """Tell whether a usage has the kingdom and the rank that was asked for; what is not told may be any."""
    kingdom = other.higher("KINGDOM").lower()
    rank = other.usage.rank if other.usage else ""
    return (not asked.kingdom or kingdom in {"", asked.kingdom.lower()}) and asked.rank in {"", rank}


def _may_be_meant(asked: Asked, match: Match, other: Match) -> bool:
    """Tell whether a usage has the spelling, the kingdom and the rank of what was matched and asked."""
    if not (match.usage and other.usage) or other.usage.canonical != match.usage.canonical:
        return False
    return _in_place(asked, other)


def _taxa(match: Match) -> tuple[Usage, ...]:
    """Return the accepted taxa of a match and of what was weighed beside it."""
    found = [each.taxon for each in (match, *match.alternatives) if each.taxon]
    return tuple({each.key: each for each in found}.values())


def _same_letters(one: str, other: str) -> bool:
    return one.lower() == other.lower()
