"""How much two normal forms are alike, 0 to 100, and by how many edits they differ.

Source: name similarity of the GBIF name matching service as of 2026-07. A swap of neighbours counts as one edit.
"""

from __future__ import annotations

SHORTEST, START = 4, 4
BY_EDITS = (100, 90, 80)
ONE_OFF = BY_EDITS[1]
LEAST = 5


LETTERS = 26
ONCE = (1 << LETTERS) - 1
A, Z = ord("a"), ord("z")


def letters(text: str) -> int:
    """Return which letters a text has, and above them which it has more than once, as bits.

    One edit changes two of the bits at most, so texts that differ in more than four are more than two edits apart.
    """
    once = twice = 0
    for sign in text.encode():
        if A <= sign <= Z:
            bit = 1 << (sign - A)
            twice |= once & bit
            once |= bit
    return once | twice << LETTERS


def edits(one: str, other: str) -> int:
    """Return the number of edits between two texts: letters put in, left out, exchanged, or neighbours swapped."""
    from rapidfuzz.distance import OSA

    return OSA.distance(one, other)


def edits_allowed(normal: str) -> int:
    """Return by how many edits a name may differ from one that is asked for."""
    return 2 if len(normal) > 10 else 1  # noqa: PLR2004


def similarity(one: str, other: str) -> float:
    """Return how much two normal forms are alike."""
    if one == other:
        return 100.0
    words, others = one.split(" "), other.split(" ")
    if len(words) != len(others):
        off = float(edits(one, other) ** 1.4) / min(10, len(one), len(other))
        return max(0.0, 100 * (1 - off))
    values = [_word(*pair, is_first=at == 0) for at, pair in enumerate(zip(words, others, strict=True))]
    mean = sum([max(0, 2 * values[0] - 100), *values[1:]]) / len(values)
    return min(mean, LEAST) if 0 in values else mean


def _word(one: str, other: str, *, is_first: bool) -> int:
    if one == other:
        return 100
    if min(len(one), len(other)) < SHORTEST or one[0] != other[0]:
        return 0
    off = edits(one, other)
    if edits(one[:START], other[:START]) > 1:
        return ONE_OFF if off == 1 and not is_first else 0
    return BY_EDITS[off] if off < len(BY_EDITS) else 0
