"""The character catalogue: what can be looked at, in which states, and what each is worth as proof."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class State:
    """One state of a character. ``near`` and ``like`` are symmetric; the loader completes them."""

    id: str
    means: str
    may_turn_into: frozenset[str] = frozenset()
    near: frozenset[str] = frozenset()
    like: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Character:
    """One character. ``applies_if`` is the controlling character with the states it must meet, if any.

    ``tolerance`` is the relative widening of a measured range on the other side; ``unit`` is mm or µm (``um``).
    """

    id: str
    position: int
    title: str
    part: str
    witness: str
    kind: str
    proof: str
    seen_by: str
    applies_if: tuple[str, frozenset[str]] | None = None
    read_when: tuple[str, ...] = ()
    every: bool = True
    unit: str = ""
    tolerance: float = 0.0
    grows: bool = False
    states: dict[str, State] = field(default_factory=dict)

    @property
    def is_measured(self) -> bool:
        """Tell whether values are ranges of numbers."""
        return not self.states


@dataclass(frozen=True, slots=True)
class Implication:
    """A taxon that appears in one of ``when_states`` also appears in ``adds_states``.

    Unless ``unless_character`` is known and shows nothing but ``unless_states``.
    """

    when_character: str
    when_states: frozenset[str]
    unless_character: str
    unless_states: frozenset[str]
    adds_character: str
    adds_states: tuple[str, ...]


def characters_of(raw: list[dict[str, Any]]) -> dict[str, Character]:
    """Return the characters of the catalogue by id, in its order."""
    return {each["id"]: _character(each, position) for position, each in enumerate(raw, 1)}


def _character(raw: dict[str, Any], position: int) -> Character:
    given = {key: value for key, value in raw.items() if key not in {"states", "applies_if", "read_when"}}
    given.setdefault("witness", given["part"])
    if given["kind"] == "measured":
        given.setdefault("tolerance", DEFAULT_TOLERANCE)
    (controller,) = (raw.get("applies_if") or {"": []}).items()
    return Character(
        position=position,
        applies_if=(controller[0], frozenset(controller[1])) if controller[0] else None,
        read_when=tuple(raw.get("read_when") or ()),
        states=_states(raw.get("states") or {}),
        **given,
    )


# data-model.md, 3: what a measured character is widened by where the catalogue gives no number.
DEFAULT_TOLERANCE = 0.2


def _states(raw: dict[str, dict[str, Any]]) -> dict[str, State]:
    return {
        id: State(
            id,
            (each or {}).get("means", ""),
            frozenset((each or {}).get("may_turn_into") or ()),
            _both_ways(raw, id, "near"),
            _both_ways(raw, id, "like"),
        )
        for id, each in raw.items()
    }


def _both_ways(raw: dict[str, dict[str, Any]], id: str, link: str) -> frozenset[str]:
    there = set((raw[id] or {}).get(link) or ())
    back = {other for other, each in raw.items() if id in ((each or {}).get(link) or ())}
    return frozenset(there | back)


def implications_of(raw: list[dict[str, Any]]) -> list[Implication]:
    """Return the implications in the order of the catalogue."""
    return [_implication(each) for each in raw]


def _implication(raw: dict[str, Any]) -> Implication:
    ((when, when_states),) = raw["when"].items()
    ((unless, unless_states),) = raw["unless"].items()
    ((adds, adds_states),) = raw["adds"].items()
    return Implication(when, frozenset(when_states), unless, frozenset(unless_states), adds, tuple(adds_states))


def closure(character: Character, states: frozenset[str]) -> frozenset[str]:
    """Return the states with all that weather, age, handling and insects may turn them into."""
    reached, fresh = set(states), set(states)
    while fresh:
        turned = {into for id in fresh if id in character.states for into in character.states[id].may_turn_into}
        fresh = turned - reached
        reached |= fresh
    return frozenset(reached)


def with_near(character: Character, states: frozenset[str]) -> frozenset[str]:
    """Return the states with all that a careful person may report in their place: one step, no further."""
    near = {other for id in states if id in character.states for other in character.states[id].near}
    return states | near
