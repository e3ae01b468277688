"""What the rules are called with, beyond entries and the form."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sporeproof.findings import Mark, Trouble
from sporeproof.names.answers import Recorded
from sporeproof.records.entry import Entry, Reading
from sporeproof.tables.resolve import Checklist

if TYPE_CHECKING:
    from sporeproof.confusion.separation import Contrast
    from sporeproof.confusion.suspects import Missing
    from sporeproof.names.outcome import Use
    from sporeproof.records.read import Companion


@dataclass(frozen=True, slots=True)
class Pair:
    """A confusion as an entry lists it, with what its claims come to.

    ``contrasts`` holds one contrast per claimed character that the catalogue knows, computed with the edible
    side as the accepted one; between two of a kind it is the weaker of both directions.
    """

    entry: Entry
    other: Entry
    position: int
    confusion: dict[str, Any]
    contrasts: Mapping[str, Contrast]
    eaten: Entry | None

    def claims(self, separates: str) -> Iterator[tuple[int, str]]:
        """Yield position and character of each claim that comes to a word of the vocabulary of separations."""
        for index, id in enumerate(self.confusion.get("told_apart_by") or []):
            if id in self.contrasts and self.contrasts[id].separates == separates:
                yield index, id

    def at_claim(self, index: int) -> Mark:
        """Return where a claim stands."""
        return self.entry.at("confusions", self.position, "told_apart_by", index)


@dataclass(frozen=True, slots=True)
class Excuse:
    """An excuse of an entry, with what came of it: ``used`` is None where the rule it names did not run."""

    entry: Entry
    position: int
    code: str
    used: bool | None
    known: bool


@dataclass(frozen=True)
class Whole:
    """The dataset as a whole: readings, entries by name, companions, and the recorded answers' troubles.

    ``missing`` is what it lacks of the taxa that its edible entries must have been compared with.
    """

    readings: list[Reading]
    checklist: Checklist
    companions: dict[str, Companion]
    uses: list[Use] = field(default_factory=list)
    answers: Recorded = field(default_factory=lambda: Recorded([]))
    answer_troubles: list[Trouble] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)

    @property
    def entries(self) -> list[Entry]:
        """The entries that could be read."""
        return self.checklist.entries
