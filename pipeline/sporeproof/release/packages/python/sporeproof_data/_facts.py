"""The small facts that a record is made of, each as a tuple with names."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

Fact = TypeVar("Fact", bound=NamedTuple)


class Term(NamedTuple):
    """A word of a vocabulary: its id, what it is called, what it means."""

    id: str
    title: str
    definition: str

    def __str__(self) -> str:
        return f"{self.title}. {self.definition}".strip()


class Review(NamedTuple):
    """Whether somebody other than its author has vouched for an entry, and on which day (ISO 8601)."""

    id: str
    title: str
    definition: str
    reviewed: bool
    on: str | None

    def __str__(self) -> str:
        return " ".join([f"{self.title.upper()}. {self.definition}", *([f"On {self.on}."] if self.on else [])])


class Vernacular(NamedTuple):
    """An everyday name in a language (BCP 47)."""

    language: str
    name: str
    preferred: bool


class Name(NamedTuple):
    """A scientific name that is or was used for a taxon, and its role: current, former, misspelling or misapplied."""

    name: str
    authorship: str | None
    role: str


class Opinion(NamedTuple):
    """The verdict that one source gives; of several the most cautious one is the verdict."""

    source_id: str
    verdict: str


class Accepted(NamedTuple):
    """What a specimen must show so that a verdict covers it: one of some states, or a size between low and high."""

    character_id: str
    title: str
    states: tuple[str, ...] | None
    low: float | None
    high: float | None
    unit: str | None

    def __str__(self) -> str:
        if self.states is not None:
            return f"{self.title}: {' or '.join(self.states)}"
        return f"{self.title}: {self.low:g} to {self.high:g} {self.unit or ''}".rstrip()


class Onset(NamedTuple):
    """After how many hours a syndrome begins or turns grave, as one source has it; None for not known."""

    source_id: str
    phase: str
    low_h: float | None
    high_h: float | None


class State(NamedTuple):
    """The states of a character that a taxon shows at a stage of its life: any of them occurs."""

    character_id: str
    title: str
    stage: str
    states: tuple[str, ...]
    source_ids: tuple[str, ...]


class Measurement(NamedTuple):
    """The usual range of a size at a stage of its life; the unit is that of the catalogue."""

    character_id: str
    title: str
    stage: str
    low: float
    high: float
    unit: str
    source_ids: tuple[str, ...]


class Setting(NamedTuple):
    """Where it grows: a substrate, a host or a habitat; of a host also how strictly."""

    kind: str
    value: str
    strength: str | None
    source_ids: tuple[str, ...]


class Season(NamedTuple):
    """A month, 1 to 12, in which it was seen in a region (ISO 3166)."""

    region: str
    month: int
    peak: bool
    source_ids: tuple[str, ...]


class Protection(NamedTuple):
    """A law that protects it in a territory (ISO 3166-2). None recorded does not mean that it may be picked."""

    instrument: str
    name_as_listed: str
    territory: str
    section: str | None
    acts: tuple[str, ...]
    since: str | None
    source_id: str
    checked_on: str | None

    def __str__(self) -> str:
        law = f"{self.instrument}, {self.section}" if self.section else self.instrument
        return f"{self.territory}: {law}, as {self.name_as_listed}; {', '.join(self.acts)}"


def facts(kind: type[Fact], rows: Iterable[Mapping[str, Any]]) -> tuple[Fact, ...]:
    """Return the parts of a record as facts of a kind, lists as tuples."""
    return tuple(fact(kind, row) for row in rows)


def fact(kind: type[Fact], row: Mapping[str, Any]) -> Fact:
    """Return a part of a record as a fact of a kind."""
    cells = (row[name] for name in kind._fields)
    return kind._make(tuple(cell) if isinstance(cell, list) else cell for cell in cells)
