"""One pair of taxa side by side: how each shows every character, what that proves, and who lists whom.

``a`` is the one that would be eaten. Where both or neither are, each is taken as ``a`` in turn and both must
hold (engine.md, 2): of the two contrasts the weaker one stands. The character rows say everything that the
figures at each level are made of.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sporeproof.confusion.appearance import STAGE, Appearance, Range, States, View, appearance_of
from sporeproof.confusion.separation import ENOUGH, Contrast, eaten_first, levels_upto, required_of, separators, told
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry, source_ids
from sporeproof.tables.resolve import Checklist


@dataclass(frozen=True, slots=True)
class Side:
    """How one of the two shows one character; states stand in the order of the catalogue.

    ``status`` is known, unknown or not-applicable, of the part that this side plays. ``accepted`` is what of it
    would be accepted, unworn; ``shown`` all that it can look like. ``range`` and ``shown_range`` say the same of
    what is measured, and ``recorded_range`` is what the entry gives. ``read_as`` are states that a careful person
    may report of it and that are accepted of the other one. ``telling`` are states of this one that are never read
    from the other. ``lacks`` says why it is unknown: unrecorded, age or dependent.
    """

    status: str
    accepted: tuple[str, ...] = ()
    shown: tuple[str, ...] = ()
    range: Range | None = None
    shown_range: Range | None = None
    recorded_range: Range | None = None
    read_as: tuple[str, ...] = ()
    telling: tuple[str, ...] = ()
    lacks: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One character of the pair. ``level`` is the first one at which it can be seen, ``full_weight`` the catalogue's.

    What it is worth here stands in ``contrast``: nothing where it does not separate.
    """

    contrast: Contrast
    level: str
    full_weight: int
    a: Side
    b: Side

    @property
    def character(self) -> Character:
        """The character that the row is of."""
        return self.contrast.character

    @property
    def separates(self) -> str:
        """A word of the vocabulary of separations."""
        return self.contrast.separates


@dataclass(frozen=True, slots=True)
class Standing:
    """What the pair comes to at one level. All ids are of characters that weigh something and are seen there.

    ``separating`` holds one group for each witness, since a group counts once. ``one_fruitbody`` says that
    something separates and counts nothing, because it speaks only for the fruitbody examined.
    """

    level: str
    separators: int
    required: int
    separating: tuple[tuple[str, ...], ...] = ()
    one_way: tuple[str, ...] = ()
    overlapping: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    one_fruitbody: bool = False

    @property
    def separated(self) -> str:
        """How well the two are separated: well, thinly or not."""
        return SEPARATED[min(self.separators, ENOUGH)]

    @property
    def is_enough(self) -> bool:
        """Tell whether as much separates the two as is required."""
        return self.separators >= self.required


SEPARATED = ("not", "thinly", "well")


@dataclass(frozen=True, slots=True)
class Listing:
    """What one entry says of the other: ``listed`` is authored or dismissed, ``note`` its note or its reason.

    ``claims`` are checked, ``hints`` never are.
    """

    by: Entry
    listed: str
    claims: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    note: str = ""
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two taxa side by side. ``both_ways`` where neither is the one that would be eaten, or both are."""

    a: Entry
    b: Entry
    both_ways: bool
    rows: tuple[Row, ...]
    levels: tuple[Standing, ...]
    listings: tuple[Listing, ...]


def paired(one: Entry, other: Entry, form: Form, checklist: Checklist | None = None) -> Comparison:
    """Return two taxa side by side, the edible one first where exactly one of them is.

    ``checklist`` follows the names by which entries list one another; without it only these two are known.
    """
    a, b, both_ways = eaten_first(one, other, form)
    rows = _rows(appearance_of(a, form), appearance_of(b, form), form, both_ways)
    needed = max(required_of(each, form) for each in ((a, b) if both_ways else (b,)))
    levels = tuple(_standing(rows, level, needed, form) for level in form.vocabularies["levels"])
    known = checklist or Checklist([a, b])
    return Comparison(a, b, both_ways, rows, levels, (*_listed(a, b, known), *_listed(b, a, known)))


def _rows(a: Appearance, b: Appearance, form: Form, both_ways: bool) -> tuple[Row, ...]:
    contrasts = [told(a, b, character, form, mutual=both_ways) for character in form.characters.values()]
    return tuple(_row(a, b, each, form, both_ways) for each in contrasts)


def _row(a: Appearance, b: Appearance, contrast: Contrast, form: Form, both_ways: bool) -> Row:
    character = contrast.character
    eaten, other = _eaten(a, character), _other(b, character)
    return Row(
        contrast,
        form.level_of(character),
        form.weight(character),
        _side(a, b, character, (*eaten, *(_other(a, character) if both_ways else ()))),
        _side(b, a, character, (*other, *(_eaten(b, character) if both_ways else ()))),
    )


# The views by which a side takes part, each with the reason why it may be unknown.
Part = tuple[View, str]


def _eaten(look: Appearance, character: Character) -> tuple[Part]:
    stages, only = _stages(look, character), look.traits.accepted.get(STAGE)
    at_any_age = character.is_measured and not character.grows
    told = any(only is None or at_any_age or stage == UNSTAGED or stage in only for stage in stages)
    return ((look.accepted(character), _why(stages, told)),)


def _other(look: Appearance, character: Character) -> tuple[Part]:
    stages = _stages(look, character)
    return ((look.shown(character), _why(stages, UNSTAGED in stages or look.form.needed_stages <= stages)),)


def _stages(look: Appearance, character: Character) -> set[str]:
    traits = look.traits.ranges if character.is_measured else look.traits.states
    return set(traits.get(character.id, ()))


def _why(stages: set[str], told: bool) -> str:
    """Why a value would be unknown: never written, not at the ages that count, or hanging on another character."""
    return "dependent" if told else "age" if stages else "unrecorded"


def _side(look: Appearance, opposite: Appearance, character: Character, parts: tuple[Part, ...]) -> Side:
    lacks = next((why for view, why in parts if view.status == "unknown"), "")
    status = "not-applicable" if any(view.status == "not-applicable" for view, _ in parts) else "known"
    accepted, shown = look.accepted(character), look.shown(character)
    read_as = (look.reported(character) - shown.states) & opposite.accepted(character).states
    known = opposite.shown(character).status == "known"
    telling = shown.states - opposite.reported(character) if known else frozenset[str]()
    return Side(
        status="unknown" if lacks else status,
        accepted=_ordered(character, accepted.states),
        shown=_ordered(character, shown.states),
        range=accepted.range,
        shown_range=shown.range,
        recorded_range=look.own_range(character),
        read_as=_ordered(character, read_as),
        telling=_ordered(character, telling),
        lacks=lacks,
    )


def _ordered(character: Character, states: States) -> tuple[str, ...]:
    return tuple(id for id in character.states if id in states)


def _standing(rows: Iterable[Row], level: str, needed: int, form: Form) -> Standing:
    seen = levels_upto(level, form)
    weighty = [row for row in rows if row.level in seen and row.full_weight]
    total = separators([row.contrast for row in weighty], level, needed, form)
    groups = _groups(weighty)
    return Standing(
        level,
        total,
        needed,
        groups,
        _ids(weighty, "one-way"),
        _ids(weighty, "no"),
        _ids(weighty, "unknown"),
        one_fruitbody=bool(groups) and not total,
    )


def _ids(rows: Iterable[Row], separates: str) -> tuple[str, ...]:
    return tuple(row.character.id for row in rows if row.separates == separates)


def _groups(rows: Iterable[Row]) -> tuple[tuple[str, ...], ...]:
    """The separating characters by witness."""
    found: dict[str, tuple[str, ...]] = {}
    for row in rows:
        if row.contrast.weight:
            found[row.character.witness] = (*found.get(row.character.witness, ()), row.character.id)
    return tuple(found.values())


def _listed(entry: Entry, other: Entry, checklist: Checklist) -> list[Listing]:
    """What an entry says of the other one, the confusions before the answers."""
    default = entry.sources("confusions")
    authored = [_listing(entry, "authored", each, default) for each in _of(entry.confusions, other, checklist)]
    return authored + [_listing(entry, "dismissed", each, ()) for each in _of(entry.dismissed, other, checklist)]


def _of(blocks: Iterable[dict[str, Any]], other: Entry, checklist: Checklist) -> list[dict[str, Any]]:
    return [each for each in blocks if checklist.find(each["with"]).one is other]


def _listing(entry: Entry, listed: str, block: dict[str, Any], default: tuple[str, ...]) -> Listing:
    return Listing(
        entry,
        listed,
        tuple(block.get("told_apart_by") or ()),
        tuple(block.get("hints") or ()),
        block.get("note") or block.get("because") or "",
        source_ids(block.get("source")) or default,
    )
