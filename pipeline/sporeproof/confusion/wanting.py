"""What one edible entry lacks most, at once (engine.md, 7): an upper bound, where :mod:`.gaps` counts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sporeproof.confusion.appearance import appearance_of
from sporeproof.confusion.gaps import first_level, is_unknown, telling_of, wanted_of
from sporeproof.confusion.separation import Contrast, levels_upto, required_of, separators
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry

Cell = tuple[Entry, str]


@dataclass(frozen=True, slots=True)
class Wanting:
    """What an edible entry lacks: ``short`` counts its pairs that are short in the field and have an unknown there.

    ``cell`` is whose and which one value might settle most of them, and ``settles`` how many; None where no single
    value could.
    """

    short: int
    cell: tuple[Entry, Character] | None
    settles: int


def settles_most(entry: Entry, others: Iterable[Entry], form: Form) -> Wanting | None:
    """Return the one missing value that might settle most of an edible entry's short pairs; None where none lacks any.

    ``others`` are suspects of it. Unlike `gaps` it supposes no value: a cell counts for a pair if all that is unknown
    for its sake alone would be enough, were it to separate with its full weight in the field. That is an upper bound
    for what can be known of the characters that wait for it, at the price of what a value would take from the others
    through an implication, which only `gaps` sees.
    """
    weigh, cells, short = _weigh_in_field(form), Counter[Cell](), 0
    a = appearance_of(entry, form)
    mine = {each.id: {(entry, id) for id in wanted_of(a, each, eaten=True)} for each in weigh}
    for other in others:
        b, required = appearance_of(other, form), required_of(other, form)
        telling = telling_of(a, b, weigh, form)
        unknown = [each for each in weigh if is_unknown(a, b, each)]
        if unknown and separators(telling.values(), first_level(form), required, form) < required:
            short += 1
            wanted = {
                each.id: mine[each.id] | {(other, id) for id in wanted_of(b, each, eaten=False)} for each in unknown
            }
            cells.update(_might_settle(telling, wanted, required, form))
    best = min(cells, key=lambda cell: (-cells[cell], *_place(cell, form)), default=None)
    if best is None:
        return Wanting(short, None, 0) if short else None
    return Wanting(short, (best[0], form.characters[best[1]]), cells[best])


def _weigh_in_field(form: Form) -> list[Character]:
    seen = levels_upto(first_level(form), form)
    return [each for each in form.characters.values() if form.weight(each) and form.level_of(each) in seen]


def _might_settle(
    telling: dict[str, Contrast], wanted: dict[str, set[Cell]], required: int, form: Form
) -> Iterator[Cell]:
    """Yield the cells of a short pair that would be enough alone, at their best."""
    waiting: dict[Cell, dict[str, Contrast]] = {}
    for id, cells in wanted.items():
        if len(cells) == 1:
            at_best = Contrast(form.characters[id], "yes", form.weight(form.characters[id]))
            waiting.setdefault(next(iter(cells)), {})[id] = at_best
    for cell, best in waiting.items():
        if separators((telling | best).values(), first_level(form), required, form) >= required:
            yield cell


def _place(cell: Cell, form: Form) -> tuple[str, str, int]:
    entry, id = cell
    return entry.name, entry.key, form.characters[id].position
