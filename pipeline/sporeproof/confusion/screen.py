"""An edible taxon against all its suspects at once: what `separation` counts for one pair, here a bit for each.

Suspects are numbered, and what holds for some of them is one whole number whose bit *i* speaks of suspect *i*. The
numbers grow as long as need be, so that one AND or OR serves thousands of pairs. What a character separates depends
on nothing but the states that are accepted, so it is worked out once for each such set.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from operator import or_

from sporeproof.confusion.appearance import Appearance, States, View
from sporeproof.confusion.separation import ENOUGH, levels_upto
from sporeproof.form.catalogue import Character, with_near
from sporeproof.form.load import Form

Bits = int


def bits_of(positions: Iterable[int]) -> Bits:
    """Return the number in which the bits at some positions are set.

    >>> bits_of([0, 3])
    9
    """
    listed = list(positions)
    found = bytearray(max(listed, default=0) // 8 + 1)
    for position in listed:
        found[position >> 3] |= 1 << (position & 7)
    return int.from_bytes(found, "little")


def positions_of(bits: Bits) -> Iterator[int]:
    """Yield the positions of the bits that are set, ascending.

    >>> list(positions_of(9))
    [0, 3]
    """
    for place, byte in enumerate(bits.to_bytes(-(-bits.bit_length() // 8), "little")):
        if byte:
            yield from (8 * place + bit for bit in range(8) if byte >> bit & 1)


class Counts:
    """A count for each suspect, written in binary across ``planes``: bit *i* of plane *k* counts 2 ** *k*."""

    def __init__(self) -> None:
        self.planes: list[Bits] = []

    def add(self, bits: Bits, place: int = 0) -> None:
        """Add 2 ** ``place`` to the count of each suspect in ``bits``."""
        planes = self.planes
        while bits:
            while place >= len(planes):
                planes.append(0)
            planes[place], bits = planes[place] ^ bits, planes[place] & bits
            place += 1

    def only(self, bits: Bits) -> Counts:
        """Return the counts with that of everybody outside ``bits`` set to 0."""
        kept = Counts()
        kept.planes = [plane & bits for plane in self.planes]
        return kept

    def of(self, position: int) -> int:
        """Return the count of one suspect."""
        return sum((plane >> position & 1) << place for place, plane in enumerate(self.planes))

    @property
    def some(self) -> Bits:
        """Those with a count of 1 or more."""
        found = 0
        for plane in self.planes:
            found |= plane
        return found

    @property
    def enough(self) -> Bits:
        """Those with a count of 2 or more: well separated."""
        found = 0
        for plane in self.planes[1:]:
            found |= plane
        return found


@dataclass(slots=True)
class StatesShown:
    """What the suspects show of a character that comes in states; who is unknown overlaps everything.

    ``reported`` and ``confused`` hold for a state who may be reported so, and who shows what is confused with it;
    answers are kept.
    """

    known: Bits
    reported: dict[str, Bits]
    confused: dict[str, Bits]
    kept: dict[States, tuple[Bits, Bits]] = field(default_factory=dict)

    def parted(self, mine: View) -> tuple[Bits, Bits]:
        """Return whom the accepted states separate, and whom of these a beginner confuses all the same."""
        found = self.kept.get(mine.states)
        if found is None:
            apart = self.known & ~_union(self.reported.get(id, 0) for id in mine.states) if mine.states else 0
            found = apart, apart & _union(self.confused.get(id, 0) for id in mine.states)
            self.kept[mine.states] = found
        return found


@dataclass(slots=True)
class RangesShown:
    """What the suspects show of a measured character: their ends in order, with everybody up to each of them."""

    highs: list[float]
    upto: list[Bits]
    lows: list[float]
    onwards: list[Bits]
    grows: bool

    def parted(self, mine: View) -> tuple[Bits, Bits]:
        """Return whom the accepted range separates; nobody confuses a size that was measured."""
        if mine.range is None:
            return 0, 0
        low, high = mine.range
        below = self.upto[bisect_left(self.highs, low)]
        return below | (0 if self.grows else self.onwards[bisect_right(self.lows, high)]), 0


def _union(many: Iterable[Bits]) -> Bits:
    found = 0
    for each in many:
        found |= each
    return found


class Screen:
    """Suspects made ready to be compared with any edible taxon at one level."""

    def __init__(self, suspects: Sequence[Appearance], required: Sequence[int], level: str, form: Form) -> None:
        seen = levels_upto(level, form)
        self.witnesses: dict[str, list[Counted]] = {}
        for each in form.characters.values():
            if form.weight(each) and form.level_of(each) in seen:
                counted = each, form.weight(each) >= ENOUGH, _shown(each, suspects)
                self.witnesses.setdefault(each.witness, []).append(counted)
        # For these one separating character of the fruitbody examined is enough.
        self.lenient = bits_of(position for position, needed in enumerate(required) if needed < ENOUGH)

    def separators(self, edible: Appearance) -> Counts:
        """Return how much separates an edible taxon from each suspect, as `separation.separators` counts it."""
        counts, of_each, gained = Counts(), self.lenient, 0
        for characters in self.witnesses.values():
            told = twice = confused = 0
            for character, is_decisive, shown in characters:
                mine = edible.accepted(character)
                if mine.status == KNOWN:
                    apart, alike = shown.parted(mine)
                    told |= apart & ~alike
                    confused |= alike
                    if is_decisive:
                        twice |= apart & ~alike
                    if character.every:
                        of_each |= apart
            counts.add(told & ~twice)
            counts.add(twice, 1)
            gained |= confused & ~told
        counts.add(gained)
        return counts.only(of_each)


# A character, whether it is decisive, and what the suspects show of it.
Counted = tuple[Character, bool, StatesShown | RangesShown]
KNOWN = "known"


def _shown(character: Character, suspects: Sequence[Appearance]) -> StatesShown | RangesShown:
    views = ((position, look.shown(character)) for position, look in enumerate(suspects))
    known = [(position, view) for position, view in views if view.status == KNOWN]
    return _ranges(character, known) if character.is_measured else _states(character, known)


def _states(character: Character, known: list[tuple[int, View]]) -> StatesShown:
    by_states: dict[States, list[int]] = {}
    for position, view in known:
        by_states.setdefault(view.states, []).append(position)
    everybody, reported, confused = 0, dict[str, Bits](), dict[str, Bits]()
    for states, positions in by_states.items():
        who = bits_of(positions)
        everybody |= who
        for id in with_near(character, states):
            reported[id] = reported.get(id, 0) | who
        for id in frozenset[str]().union(*(character.states[id].like for id in states)):
            confused[id] = confused.get(id, 0) | who
    return StatesShown(everybody, reported, confused)


def _ranges(character: Character, known: list[tuple[int, View]]) -> RangesShown:
    ends = [(view.range, position) for position, view in known if view.range is not None]
    highs, upto = _cumulated([(high, position) for (_, high), position in ends])
    lows, onwards = _cumulated([(-low, position) for (low, _), position in ends])
    return RangesShown(highs, upto, [-low for low in reversed(lows)], onwards[::-1], character.grows)


def _cumulated(ends: list[tuple[float, int]]) -> tuple[list[float], list[Bits]]:
    """Return the distinct ends, ascending, and before each of them (and after the last) who has a smaller one."""
    by_end: dict[float, list[int]] = {}
    for end, position in ends:
        by_end.setdefault(end, []).append(position)
    ordered = sorted(by_end)
    return ordered, list(accumulate((bits_of(by_end[end]) for end in ordered), or_, initial=0))
