"""The least costly things to look at, as an exact integer programme (engine.md, 5).

All that a proof has to come up to is put as *demands*: of these characters, look at one at least. To weigh 2
against a suspect means to withstand any one cause of error. So for each witness, and for the one mistake that makes
characters alike, something must be looked at that this cause alone would not undo; what is decisive withstands them
all. A demand is a bit mask over the positions of the catalogue, and with nothing but demands the programme needs no
variable besides the characters themselves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from sporeproof.confusion.separation import ENOUGH, Contrast

if TYPE_CHECKING:
    import numpy as np

    Numbers = np.ndarray[tuple[int, ...], np.dtype[np.float64]]

Mask = int


def mask_of(positions: Iterable[int]) -> Mask:
    """Return the bit mask of some positions.

    >>> mask_of([1, 3])
    10
    """
    return sum(1 << position for position in set(positions))


def positions_in(mask: Mask) -> list[int]:
    """Return the positions in a bit mask, ascending.

    >>> positions_in(10)
    [1, 3]
    """
    return [position for position in range(mask.bit_length()) if mask >> position & 1]


def demands(contrasts: Iterable[Contrast], need: int, required: int) -> list[Mask]:
    """Return what must be looked at so that the separators of a suspect come to ``need``, at most 2.

    Where 2 are required, one must be a character that each fruitbody passes. What cannot be had is an empty demand.
    """
    telling = [each for each in contrasts if each.separates == "yes" and each.weight]
    of_each = [each for each in telling if each.character.every]
    asked = [any_of(of_each if required >= ENOUGH else telling)] if need else []
    return asked + (_withstanding(telling) if need >= ENOUGH else [])


def any_of(contrasts: Iterable[Contrast]) -> Mask:
    """Return the demand to look at one of the characters."""
    return mask_of(each.character.position for each in contrasts)


def _withstanding(telling: list[Contrast]) -> list[Mask]:
    """For each cause of error, what it alone would not undo."""
    witnesses = {each.character.witness for each in telling}
    return [any_of(each for each in telling if not each.alike)] + [
        any_of(each for each in telling if each.character.witness != witness or each.weight >= ENOUGH)
        for witness in witnesses
    ]


def least_costly(
    asked: Iterable[Mask], costs: Mapping[int, int], taken: Mask = 0, counted: Mask = 0, most: int | None = None
) -> Mask | None:
    """Return the cheapest choice of positions that meets all demands, ``taken`` included; None where there is none.

    Of several, the one with the least sum of positions, then with the earliest. At most ``most`` of the ``counted``
    positions may be chosen.
    """
    counted = 0 if most is None else counted
    left, taken = _reduced(list(asked), costs, taken, counted)
    spare = (most or 0) - (taken & counted).bit_count()
    if 0 in left or spare < 0:
        return None
    if not left:
        return taken
    chosen = _solved(left, costs, counted, spare)
    return None if chosen is None else taken | chosen


def _reduced(asked: list[Mask], costs: Mapping[int, int], taken: Mask, counted: Mask) -> tuple[list[Mask], Mask]:
    """Take what has no alternative, and leave out demands and characters that others make needless."""
    while True:
        left = _hardest(each for each in asked if not each & taken)
        forced = sum(each for each in left if each.bit_count() == 1)
        kept = mask_of(_undominated(left, costs, counted))
        asked = [each & kept for each in left]
        if not forced and asked == left:
            return left, taken
        taken |= forced


def _hardest(asked: Iterable[Mask]) -> list[Mask]:
    """Leave out each demand that is met wherever another one is."""
    kept: list[Mask] = []
    for each in sorted(set(asked), key=lambda mask: (mask.bit_count(), mask)):
        if not any(other & each == other for other in kept):
            kept.append(each)
    return kept


def _undominated(asked: list[Mask], costs: Mapping[int, int], counted: Mask) -> Iterator[int]:
    """Yield each position but those in whose place another does as much for less, and counts no more."""
    meets = {
        position: mask_of(row for row, each in enumerate(asked) if each >> position & 1)
        for position in positions_in(_union(asked))
    }
    ranked = sorted(meets, key=lambda position: (costs[position], position))
    for index, dear in enumerate(ranked):
        counts = counted >> dear & 1
        if not any(meets[dear] & ~meets[cheap] == 0 and (counted >> cheap & 1) <= counts for cheap in ranked[:index]):
            yield dear


def _union(asked: Iterable[Mask]) -> Mask:
    found = 0
    for each in asked:
        found |= each
    return found


def _solved(asked: list[Mask], costs: Mapping[int, int], counted: Mask, spare: int) -> Mask | None:
    """Return the best choice; each aim is brought to its optimum, and held there while the next one is."""
    import numpy as np

    columns = positions_in(_union(asked))
    rows = np.array([[-(each >> column & 1) for column in columns] for each in asked], float)
    limits = np.full(len(asked), -1.0)
    if counted:
        rows = np.vstack([rows, [counted >> column & 1 for column in columns]])
        limits = np.append(limits, spare)
    chosen: Numbers | None = None
    for aim in _aims(columns, costs):
        weights = np.array(aim, float)
        chosen = _minimal(weights, rows, limits)
        if chosen is None:
            return None
        rows, limits = np.vstack([rows, weights]), np.append(limits, weights @ chosen)
    assert chosen is not None
    return mask_of(column for column, value in zip(columns, chosen, strict=True) if value)


# So many positions are weighed at once by powers of two, which a solver can still tell apart for certain.
AT_ONCE = 10


def _aims(columns: list[int], costs: Mapping[int, int]) -> Iterator[list[int]]:
    """Yield what is to be as small as can be, in this order: the cost, the positions, and the later positions.

    Cost and positions are two aims and not one sum, so that no rounding in the solver reaches across.
    """
    yield [costs[column] for column in columns]
    yield list(columns)
    for start in range(0, len(columns), AT_ONCE):
        block = range(start, start + AT_ONCE)
        yield [-(1 << block.stop - 1 - index) if index in block else 0 for index in range(len(columns))]


def _minimal(weights: Numbers, rows: Numbers, limits: Numbers) -> Numbers | None:
    """Return the choice of least weight within the limits, in whole numbers; None where there is none."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    found = milp(
        weights,
        integrality=np.ones(len(weights)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(rows, -np.inf, limits),
        options={"mip_rel_gap": 0},
    )
    if found.status == NO_CHOICE:
        return None
    if found.x is None:
        raise RuntimeError(f"The solver stopped before it was done: {found.message}")
    chosen: Numbers = np.round(found.x)
    return chosen


# What the solver answers where nothing meets all demands.
NO_CHOICE = 2
