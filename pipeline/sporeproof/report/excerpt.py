"""A line of a file as a terminal can show it, and the carets below the part that is meant."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from sporeproof.findings import Mark, plain

ROOM = 96  # terminal cells for the line itself
BEFORE = 40  # cells kept before the column where a line is too long
CUT = "…"


def excerpt(at: Mark) -> tuple[str, str]:
    """Return the mark's line, trimmed round its column, and the carets that go below it."""
    start = min(max(at.column - 1, 0), len(at.excerpt))
    right = _take(at.excerpt[start:], ROOM)
    left = _take(reversed(at.excerpt[:start]), max(BEFORE, ROOM - _cost(right)))[::-1]
    right = right[: len(_take(right, ROOM - _cost(left)))]
    before = (CUT if len(left) < start else "") + "".join(left)
    after = CUT if start + len(right) < len(at.excerpt) else ""
    under = "".join(right[: max(at.width, 1)])
    carets = " " * cells(before) + "^" * max(cells(under), 1)
    return (before + "".join(right) + after).rstrip(), carets


def cells(text: str) -> int:
    """Return how many terminal cells a text takes: none for a combining sign, two for a wide one."""
    return sum(map(_cells, text))


def _cells(sign: str) -> int:
    if unicodedata.category(sign) in {"Mn", "Me"}:
        return 0
    return 2 if unicodedata.east_asian_width(sign) in {"W", "F"} else 1


def _take(signs: Iterable[str], room: int) -> list[str]:
    """Return the signs made visible, as many as there is room for."""
    taken = []
    for sign in signs:
        piece = plain(sign)
        room -= _cost([piece])
        if room < 0:
            break
        taken.append(piece)
    return taken


def _cost(pieces: list[str]) -> int:
    """Count the cells, and one for a combining sign too: else endless ones would fit."""
    return sum(max(cells(piece), 1) for piece in pieces)
