"""What an entry records and accepts of each character, and where it stands: what many rules walk."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from sporeproof.confusion.appearance import STAGE
from sporeproof.findings import Mark
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry, Step, is_range


@dataclass(frozen=True, slots=True)
class Given:
    """The states, or low and high, that an entry gives of one character at one stage."""

    entry: Entry
    id: str
    stage: str
    states: tuple[str | float, ...]
    path: tuple[Step, ...]
    is_range: bool

    @property
    def range(self) -> tuple[float, float] | None:
        """The low and the high as written, where numbers are given."""
        return (float(self.states[0]), float(self.states[-1])) if self.is_range else None

    def at(self, index: int | None = None) -> Mark:
        """Return where the whole of it stands, or one state of it."""
        return self.entry.at(*self.path) if index is None else self.entry.at(*self.path, index)


# The rules look at one entry after the other, so the last few are the ones asked for.
@lru_cache(maxsize=8)
def recorded(entry: Entry) -> tuple[Given, ...]:
    """Return what the entry records under ``characters``, stage by stage."""
    found: list[Given] = []
    for id, value in entry.characters.items():
        raw = entry.value["characters"][id]
        path: tuple[Step, ...] = ("characters", id)
        if isinstance(raw, dict) and "is" in raw:
            path = (*path, "is")
        for stage, states in value.by_stage.items():
            where = path if stage == UNSTAGED else (*path, stage)
            found.append(Given(entry, id, stage, states, where, is_range(states)))
    return tuple(found)


@lru_cache(maxsize=8)
def accepted(entry: Entry) -> tuple[Given, ...]:
    """Return what the entry accepts under ``accept_only``."""
    path = ("edibility", "accept_only")
    return tuple(
        Given(entry, id, UNSTAGED, states, (*path, id), is_range(states)) for id, states in entry.accept_only.items()
    )


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
