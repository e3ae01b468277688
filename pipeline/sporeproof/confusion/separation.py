"""What separates two taxa, for certain and by how much (engine.md, 2).

``a`` is always the side that would be eaten, ``b`` the one it could be. Nothing here says that a pair is right
or wrong: rules do.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sporeproof.confusion.appearance import Appearance, Range, View
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry

ENOUGH = 2


@dataclass(frozen=True, slots=True)
class Contrast:
    """One character of a pair. ``separates`` is yes, one-way, no, unknown or not-applicable.

    ``weight`` is what it is worth where it separates; ``alike`` says that beginners, hurry or youth confuse it.
    """

    character: Character
    separates: str
    weight: int = 0
    alike: bool = False


def contrast(a: Appearance, b: Appearance, character: Character, form: Form) -> Contrast:
    """Return whether the character separates ``a`` from ``b``, and what that is worth."""
    mine, other = a.accepted(character), b.shown(character)
    if "not-applicable" in (mine.status, other.status):
        return Contrast(character, "not-applicable")
    if "unknown" in (mine.status, other.status):
        return Contrast(character, "unknown")
    return separating(a, b, character, form) or Contrast(
        character, "one-way" if _one_way(character, a, b, other) else "no"
    )


def separating(a: Appearance, b: Appearance, character: Character, form: Form) -> Contrast | None:
    """Return the contrast of a character that separates ``a`` from ``b``, None for any other: half of the work."""
    mine, other = a.accepted(character), b.shown(character)
    if mine.status != "known" or other.status != "known" or not _separates(character, mine, other, b):
        return None
    alike = _alike(character, mine, other)
    weight = form.weight(character)
    return Contrast(character, "yes", min(weight, 1) if alike else weight, alike)


def _separates(character: Character, mine: View, other: View, b: Appearance) -> bool:
    if character.is_measured:
        return _ranges_part(character, mine.range, other.range)
    return bool(mine.states) and not mine.states & b.reported(character)


def _ranges_part(character: Character, mine: Range | None, other: Range | None) -> bool:
    """A growing size separates only from below: the large ones were small once."""
    if mine is None or other is None:
        return False
    above = mine[0] > other[1]
    return above if character.grows else above or mine[1] < other[0]


def _one_way(character: Character, a: Appearance, b: Appearance, other: View) -> bool:
    """Tell whether some of what ``a`` can look like, but not all, is never seen in ``b``."""
    if character.is_measured:
        own = a.own_range(character) if a.shown(character).status == "known" else None
        return own is not None and other.range is not None and _sticks_out(character, own, other.range)
    shown = a.shown(character).states
    outside = shown - b.reported(character)
    return bool(outside) and outside != shown


def _sticks_out(character: Character, own: Range, other: Range) -> bool:
    return own[1] > other[1] or (not character.grows and own[0] < other[0])


def _alike(character: Character, mine: View, other: View) -> bool:
    return any(character.states[id].like & other.states for id in mine.states)


def compare(a: Appearance, b: Appearance, form: Form) -> list[Contrast]:
    """Return the contrast of every character of the catalogue, in its order."""
    return [contrast(a, b, character, form) for character in form.characters.values()]


def levels_upto(level: str, form: Form) -> set[str]:
    """Return the level with all easier ones: what can be seen at ``print`` includes what is seen in the field."""
    known = list(form.vocabularies["levels"])
    return set(known[: known.index(level) + 1])


def separators(contrasts: Iterable[Contrast], level: str, required: int, form: Form) -> int:
    """Return how much separates a pair at a level: the best character of each witness, summed.

    Characters that one mistake would make alike are worth 1 in all. Where 2 are required, what speaks only for
    the one fruitbody examined counts only beside something that each fruitbody must pass.
    """
    seen = levels_upto(level, form)
    counted = [each for each in contrasts if each.separates == "yes" and form.level_of(each.character) in seen]
    of_each = [each for each in counted if each.character.every and each.weight]
    return _summed(counted if of_each or required < ENOUGH else [])


def _summed(counted: list[Contrast]) -> int:
    plain: dict[str, int] = {}
    alike: dict[str, int] = {}
    for each in counted:
        best = alike if each.alike else plain
        best[each.character.witness] = max(best.get(each.character.witness, 0), each.weight)
    gained = sum(max(0, weight - plain.get(witness, 0)) for witness, weight in alike.items())
    return sum(plain.values()) + min(1, gained)


def required(verdict: str, severity: str, syndromes: list[str], form: Form) -> int:
    """Return what must separate an edible taxon from one of this verdict: 2, or 1 where all harm is mild."""
    if form.is_edible(verdict):
        return 1
    mild = bool(syndromes) and all(form.flagged("syndromes", each, "mild") for each in syndromes)
    return 1 if mild and not form.is_deadly(verdict) and not severity else ENOUGH


def required_of(entry: Entry, form: Form) -> int:
    """Return what must separate an edible taxon from the taxon of an entry."""
    return required(entry.verdict, str(entry.edibility.get("severity", "")), entry.syndromes, form)


def both_ways(one: Appearance, other: Appearance, character: Character, form: Form) -> Contrast:
    """Return the weaker of the two contrasts, for a pair in which neither side is the one that is eaten."""
    there, back = contrast(one, other, character, form), contrast(other, one, character, form)
    return min(there, back, key=lambda each: (ORDER.index(each.separates), each.weight))


def eaten_first(one: Entry, other: Entry, form: Form) -> tuple[Entry, Entry, bool]:
    """Return a pair with the edible one first, and whether neither is that one: both or none are edible."""
    edible = [form.is_edible(each.verdict) for each in (one, other)]
    a, b = (other, one) if edible == [False, True] else (one, other)
    return a, b, edible[0] == edible[1]


def told(a: Appearance, b: Appearance, character: Character, form: Form, *, mutual: bool) -> Contrast:
    """Return the contrast of a pair, taken both ways where neither side is the one that is eaten."""
    return both_ways(a, b, character, form) if mutual else contrast(a, b, character, form)


# From the least to the most that a contrast says.
ORDER = ("unknown", "not-applicable", "no", "one-way", "yes")
