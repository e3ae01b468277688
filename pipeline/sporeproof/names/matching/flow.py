"""Matches one name: which candidates are asked for, in which order, and which of them is the answer.

A name's way is a generator: it yields what candidates it needs next and is sent them. So many names can be carried
along together, and whoever holds the checklist looks up for all of them at once. It knows no file and no database.

Source: flow of the GBIF name matching service, version 2, as of 2026-05.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator
from dataclasses import dataclass, replace

from sporeproof.names.matching.alike import edits
from sporeproof.names.matching.asked import HIGHER as HIGHER_TAXA
from sporeproof.names.matching.asked import Asked
from sporeproof.names.matching.normal_form import normal_form
from sporeproof.names.matching.ranks import SPECIES, SPECIES_AGGREGATE, is_below_genus
from sporeproof.names.matching.score import FUZZY, HIGHER, STRICT, Candidate, bonus, confidence, score
from sporeproof.names.matching.usage import (
    ACCEPTED,
    EXACT,
    HIGHERRANK,
    LOW_CONFIDENCE,
    MULTIPLE,
    NO_MATCH,
    NO_NAME,
    VARIANT,
    Match,
    Taxon,
    Usage,
)

ENOUGH, ENOUGH_HIGHER = 80, 90
BINOMIAL = 2
MOST_CANDIDATES = 50
# Usages this close in score are held against each other by their place.
CLOSE = 1
LINNEAN = ("KINGDOM", "PHYLUM", "CLASS", "ORDER", "FAMILY", "GENUS", "SPECIES")
APART = ("KINGDOM", "PHYLUM", "CLASS")
COMMON = ("SPECIES", "SUBGENUS", "GENUS", "SUBFAMILY", "FAMILY", "ORDER", "CLASS", "PHYLUM", "KINGDOM")
BELOW_FAMILIES = frozenset({"species", "genus"})
ABOVE_GENUS = ("subfamily", "subtribe", "tribe", "family", "superfamily", "order", "class", "phylum", "kingdom")


@dataclass(frozen=True, slots=True)
class Wanted:
    """The candidates that a name needs: those of a normal form, and with ``fuzzy`` those near it."""

    normal: str
    fuzzy: bool = False


Finder = Callable[[list[Wanted]], list[list[Candidate]]]
Way = Generator[Wanted, list[Candidate], Match]


def way_of(asked: Asked, *, strict: bool = False) -> Way:
    """Yield what candidates a name needs, one set after the other, and return its match."""
    if not asked.canonical:
        return Match(confidence=100, flags=(NO_NAME,), note="No name given")
    first = yield from _pass(asked, STRICT if strict or not asked.scientific else FUZZY)
    if asked.is_indet and first.match_type == EXACT:
        return replace(first, match_type=HIGHERRANK)
    if strict:
        return first
    other = yield from (_fall_back(asked) if first.usage is None else _own_genus(asked, first))
    return other or first


def _own_genus(asked: Asked, first: Match) -> Generator[Wanted, list[Candidate], Match | None]:
    """Return the genus that was asked for, where a variant in another genus stands in another place."""
    genus, usage = asked.canonical.split(" ")[0], first.usage
    if first.match_type != VARIANT or usage is None or not is_below_genus(usage.rank):
        return None
    if usage.canonical.startswith(f"{genus} "):
        return None
    for rank in ABOVE_GENUS:
        there = first.higher(rank.upper())
        if (mine := asked.higher.get(rank, "")) and there:
            if mine.lower() == there.lower():
                return None
            return (yield from _higher(_above(asked, genus)))
    return None


def _fall_back(asked: Asked) -> Generator[Wanted, list[Candidate], Match | None]:
    """Return the lowest of what stands above a name that is not there."""
    words = asked.canonical.split(" ") if asked.scientific else []
    if len(words) > BINOMIAL:
        species = replace(_above(asked, " ".join(words[:BINOMIAL])), rank=SPECIES)
        below = yield from _pass(species, FUZZY)
        if below.usage is not None:
            return replace(below, match_type=HIGHERRANK)
    steps = [_above(asked, words[0])] if len(words) > 1 else []
    told = [rank for rank in HIGHER_TAXA if rank in asked.higher and not (steps and rank in BELOW_FAMILIES)]
    steps += [replace(_above(asked, asked.higher[rank]), rank=rank.upper()) for rank in told]
    for step in steps:
        found = yield from _higher(step)
        if found is not None:
            return found
    return None


def _above(asked: Asked, canonical: str) -> Asked:
    return replace(asked, canonical=canonical, authorship="", rank="", scientific=True, is_indet=False, authors=None)


def _higher(asked: Asked) -> Generator[Wanted, list[Candidate], Match | None]:
    """Return a match of a higher taxon, where it is good enough."""
    found = yield from _pass(asked, HIGHER)
    return replace(found, match_type=HIGHERRANK) if found.usage is not None else None


def _pass(asked: Asked, mode: str) -> Way:
    """Return the match of one look at the candidates."""
    normal = normal_form(asked.canonical)
    found = yield Wanted(normal, fuzzy=mode == FUZZY and asked.scientific)
    return chosen(asked, normal, found, mode)


def chosen(asked: Asked, normal: str, found: Iterable[Candidate], mode: str) -> Match:
    """Return the match among candidates: the best of them, what several share, or none."""
    kept = _of_aggregate(asked, found) if asked.rank == SPECIES_AGGREGATE and mode != HIGHER else list(found)
    weighed = sorted(
        ((score(asked, normal, each, mode), each) for each in kept[:MOST_CANDIDATES]),
        key=lambda pair: (-pair[0], pair[1].usage.canonical, len(pair[1].usage.key), pair[1].usage.key),
    )
    if not weighed:
        return Match(confidence=100, flags=(NO_MATCH,))
    (best, first), rest = weighed[0], weighed[1:]
    sure = confidence(best + bonus(best, rest[0][0] if rest else None))
    if sure < (ENOUGH_HIGHER if mode == HIGHER else ENOUGH):
        note = "No match because of too little confidence"
        return Match(confidence=100, flags=(LOW_CONFIDENCE,), note=note, alternatives=_others(asked, kept))
    near = [each for value, each in weighed if best - value <= CLOSE]
    tied = bool(rest) and rest[0][0] == best
    if len(near) > 1 and (tied or _apart(near)):
        return _ambiguous(asked, near, sure, mode)
    return matched(asked, first, sure, [each for _, each in rest])


def _of_aggregate(asked: Asked, found: Iterable[Candidate]) -> list[Candidate]:
    """A group of species is never one of them, and never another group."""
    return [
        each for each in found
        if each.usage.rank == SPECIES_AGGREGATE and each.usage.canonical.lower() == asked.canonical.lower()
    ]  # fmt: skip


def _apart(near: list[Candidate]) -> bool:
    return any(len({each.at(rank) for each in near if each.at(rank)}) > 1 for rank in APART)


def _ambiguous(asked: Asked, near: list[Candidate], sure: int, mode: str) -> Match:
    """Return one of several equal usages of one taxon, or the lowest taxon that all are in, or none."""
    if len({tuple(_step(each, rank) for rank in LINNEAN) for each in near}) == 1:
        first = min(near, key=lambda each: (len(each.usage.key), each.usage.key))
        rest = [each for each in near if each is not first]
        return replace(matched(asked, first, sure, rest), note=f"{len(near)} synonym homonyms")
    others = _others(asked, near)
    for rank in () if mode == STRICT else COMMON:
        step = _step(near[0], rank)
        if step and all(_step(each, rank) == step for each in near):
            line = near[0].lineage[: near[0].lineage.index(step) + 1]
            return Match(HIGHERRANK, sure, _as_usage(step), None, line, others, (MULTIPLE,))
    note = f"Multiple equal matches for {asked.canonical}"
    return Match(confidence=99, flags=(MULTIPLE,), note=note, alternatives=others)


def _step(candidate: Candidate, rank: str) -> Taxon | None:
    return next((each for each in candidate.lineage if each.rank == rank), None)


def _as_usage(step: Taxon) -> Usage:
    return Usage(step.key, step.name, "", step.rank, ACCEPTED)


def matched(asked: Asked, first: Candidate, sure: int, rest: list[Candidate]) -> Match:
    """Return the match that a candidate is."""
    return replace(_match(asked, first), confidence=sure, alternatives=_others(asked, rest))


def _others(asked: Asked, rest: Iterable[Candidate]) -> tuple[Match, ...]:
    return tuple(_match(asked, each) for each in rest)


def _match(asked: Asked, each: Candidate) -> Match:
    """Return a candidate as a match; its distance is that of the names as they are written."""
    one, other = asked.canonical.lower(), each.usage.canonical.lower()
    kind, off = (EXACT, 0) if one == other else (VARIANT, edits(one, other))
    return Match(kind, None, each.usage, each.accepted, each.lineage, distance=off)


def carried(ways: Iterable[Way], look_up: Finder) -> Iterator[Match]:
    """Carry many names along together, and yield their matches in order.

    ``look_up`` takes a list of :class:`Wanted` and returns a list of candidates for each of them.
    """
    waiting: dict[int, tuple[Way, Wanted]] = {}
    done: dict[int, Match] = {}

    def step(at: int, way: Way, sent: list[Candidate] | None) -> None:
        try:
            waiting[at] = way, (next(way) if sent is None else way.send(sent))
        except StopIteration as ended:
            done[at] = ended.value

    for at, way in enumerate(ways):
        step(at, way, None)
    while waiting:
        turn, waiting_now = list(waiting.items()), dict(waiting)
        waiting.clear()
        wanted = list(dict.fromkeys(want for _, (_, want) in turn))
        found = dict(zip(wanted, look_up(wanted), strict=True))
        for at, (way, want) in waiting_now.items():
            step(at, way, found[want])
    return (done[at] for at in range(len(done)))
