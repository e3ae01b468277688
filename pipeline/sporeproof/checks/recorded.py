"""What an entry records and accepts of each character, and where it stands: what many rules walk."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sporeproof.confusion.appearance import STAGE
from sporeproof.findings import Mark
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry, Step


@dataclass(frozen=True, slots=True)
class Given:
    """The states, or low and high, that an entry gives of one character at one stage."""

    entry: Entry
    id: str
    stage: str
    states: tuple[str | float, ...]
    path: tuple[Step, ...]

    @property
    def range(self) -> tuple[float, float] | None:
        """The low and the high as written, where numbers are given."""
        numbers = [each for each in self.states if not isinstance(each, str)]
        return (numbers[0], numbers[-1]) if len(numbers) == len(self.states) and numbers else None

    @property
    def is_range(self) -> bool:
        """Tell whether numbers are given."""
        return self.range is not None

    def at(self, index: int | None = None) -> Mark:
        """Return where the whole of it stands, or one state of it."""
        return self.entry.at(*self.path) if index is None else self.entry.at(*self.path, index)


def recorded(entry: Entry) -> Iterator[Given]:
    """Yield what the entry records under ``characters``, stage by stage."""
    for id, value in entry.characters.items():
        raw = entry.value["characters"][id]
        path: tuple[Step, ...] = ("characters", id)
        if isinstance(raw, dict) and "is" in raw:
            path = (*path, "is")
        for stage, states in value.by_stage.items():
            yield Given(entry, id, stage, states, path if stage == UNSTAGED else (*path, stage))


def accepted(entry: Entry) -> Iterator[Given]:
    """Yield what the entry accepts under ``accept_only``."""
    for id, states in entry.accept_only.items():
        yield Given(entry, id, UNSTAGED, states, ("edibility", "accept_only", id))


def in_catalogue(given: Iterable[Given], form: Form) -> Iterator[tuple[Given, Character]]:
    """Yield what is given of characters that the catalogue holds, with the character."""
    for each in given:
        if each.id in form.characters:
            yield each, form.characters[each.id]


def states_of(id: str, form: Form) -> tuple[str, ...]:
    """Return the words that a character, or the stage, can have; none for a measured or an unknown one."""
    if id == STAGE:
        return form.stages
    return tuple(form.characters[id].states) if id in form.characters else ()
