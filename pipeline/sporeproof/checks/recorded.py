"""What an entry records and accepts of each character, with the way to where it stands: what many rules walk."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

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
    def is_range(self) -> bool:
        """Tell whether numbers are given."""
        return not any(isinstance(each, str) for each in self.states)

    def at(self, index: int | None = None) -> Mark:
        """Return where the whole of it stands, or one state of it."""
        return self.entry.at(*self.path) if index is None else self.entry.at(*self.path, index)


def recorded(entry: Entry) -> Iterator[Given]:
    """Yield what the entry records under ``characters``, stage by stage."""
    for id, raw in (entry.value.get("characters") or {}).items():
        path: tuple[Step, ...] = ("characters", id)
        inner: Any = raw
        if isinstance(raw, dict) and "is" in raw:
            inner, path = raw["is"], (*path, "is")
        if isinstance(inner, dict):
            for stage, states in inner.items():
                yield Given(entry, id, stage, _tuple(states), (*path, stage))
        else:
            yield Given(entry, id, UNSTAGED, _tuple(inner), path)


def accepted(entry: Entry) -> Iterator[Given]:
    """Yield what the entry accepts under ``accept_only``."""
    for id, states in entry.accept_only.items():
        yield Given(entry, id, UNSTAGED, states, ("edibility", "accept_only", id))


def in_catalogue(given: Iterator[Given], form: Form) -> Iterator[tuple[Given, Character]]:
    """Yield what is given of characters that the catalogue holds, with the character."""
    for each in given:
        if each.id in form.characters:
            yield each, form.characters[each.id]


def _tuple(raw: Any) -> tuple[str | float, ...]:
    return tuple(raw) if isinstance(raw, list) else (raw,)
