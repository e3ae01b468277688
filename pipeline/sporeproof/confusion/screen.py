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
    found = bytearray()
    for position in positions:
        byte, bit = divmod(position, 8)
        found.extend(bytes(max(0, byte + 1 - len(found))))
        found[byte] |= 1 << bit
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
        while bits:
            self.planes.extend([0] * (place + 1 - len(self.planes)))
            self.planes[place], bits = self.planes[place] ^ bits, self.planes[place] & bits
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
    """What the suspects show of a character that comes in states; who is unknown stands nowhere, and overlaps.

    ``groups`` holds, for what is reported and for what is confused with what is shown, who is so; answers are kept.
    """

    groups: dict[tuple[States, States], Bits]
    kept: dict[States, tuple[Bits, Bits]] = field(default_factory=dict)

    def parted(self, mine: View) -> tuple[Bits, Bits]:
        """Return whom the accepted states separate, and whom of these a beginner confuses all the same."""
        if mine.states not in self.kept:
            apart = [(like, who) for (reported, like), who in self.groups.items() if not mine.states & reported]
            alike = (who for like, who in apart if mine.states & like)
            self.kept[mine.states] = _union(who for _, who in apart), _union(alike)
        return self.kept[mine.states] if mine.states else (0, 0)


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
        counted = [each for each in form.characters.values() if form.weight(each) and form.level_of(each) in seen]
        self.shown = [(each, form.weight(each), _shown(each, suspects)) for each in counted]
        # For these one separating character of the fruitbody examined is enough.
        self.lenient = bits_of(position for position, needed in enumerate(required) if needed < ENOUGH)

    def separators(self, edible: Appearance) -> Counts:
        """Return how much separates an edible taxon from each suspect, as `separation.separators` counts it."""
        plain: dict[str, list[Bits]] = {}
        alike: dict[str, Bits] = {}
        of_each = self.lenient
        for character, weight, shown in self.shown:
            mine = edible.accepted(character)
            apart, confused = shown.parted(mine) if mine.status == "known" else (0, 0)
            best = plain.setdefault(character.witness, [0, 0])
            best[0] |= apart & ~confused
            best[1] |= apart & ~confused if weight >= ENOUGH else 0
            alike[character.witness] = alike.get(character.witness, 0) | confused
            of_each |= apart if character.every else 0
        return _counted(plain, alike).only(of_each)


def _counted(plain: dict[str, list[Bits]], alike: dict[str, Bits]) -> Counts:
    counts = Counts()
    for told, twice in plain.values():
        counts.add(told & ~twice)
        counts.add(twice, 1)
    counts.add(_union(confused & ~plain[witness][0] for witness, confused in alike.items()))
    return counts


def _shown(character: Character, suspects: Sequence[Appearance]) -> StatesShown | RangesShown:
    views = ((position, look.shown(character)) for position, look in enumerate(suspects))
    known = [(position, view) for position, view in views if view.status == "known"]
    return _ranges(character, known) if character.is_measured else _states(character, known)


def _states(character: Character, known: list[tuple[int, View]]) -> StatesShown:
    by_states: dict[States, list[int]] = {}
    for position, view in known:
        by_states.setdefault(view.states, []).append(position)
    groups: dict[tuple[States, States], Bits] = {}
    for states, positions in by_states.items():
        like = frozenset[str]().union(*(character.states[id].like for id in states))
        group = with_near(character, states), like
        groups[group] = groups.get(group, 0) | bits_of(positions)
    return StatesShown(groups)


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
