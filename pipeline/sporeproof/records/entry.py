"""The entry: what one file says of one taxon, as plain values, with a way back to where each stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import PurePosixPath
from typing import Any

from sporeproof.findings import Mark, Trouble
from sporeproof.text.places import locate
from sporeproof.text.read import Page

NOT_NUMBERED = "new"
UNSTAGED = "any"

Step = str | int


@dataclass(frozen=True, slots=True)
class Name:
    """A name that an entry bears or bore, with the path to where it stands."""

    name: str
    authorship: str
    role: str
    path: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Value:
    """A character's value: states, or low and high, by stage (``any`` where none is given), and its sources.

    ``is_range`` tells whether it is made of numbers throughout.
    """

    by_stage: dict[str, tuple[str | float, ...]]
    sources: tuple[str, ...] = ()
    is_range: bool = False


@dataclass(frozen=True, eq=False)
class Entry:
    """One taxon. ``value`` holds the well-shaped part of the file; ``sound`` says whether that is all of it.

    Two entries are the same only if they are one object, so that what is computed of one can be kept by it.
    """

    file: str
    text: str = field(repr=False)
    value: dict[str, Any] = field(repr=False)
    sound: bool = True

    @cached_property
    def stem(self) -> str:
        """The file's name without its ending."""
        return PurePosixPath(self.file).stem

    @property
    def id(self) -> str:
        """The id as written, empty where there is none."""
        return str(self.value.get("id", ""))

    @cached_property
    def key(self) -> str:
        """The taxon id; the file's stem stands for it until a number is given."""
        return self.stem if self.id in {"", NOT_NUMBERED} else self.id

    @property
    def name(self) -> str:
        """The current name; the file's stem where it is missing."""
        return str(self.value.get("name", self.stem))

    @property
    def authorship(self) -> str:
        """The author citation of the current name."""
        return str(self.value.get("authorship", ""))

    @property
    def rank(self) -> str:
        """The rank as written."""
        return str(self.value.get("rank", ""))

    @property
    def edibility(self) -> dict[str, Any]:
        """The block of that name."""
        return self.value.get("edibility") or {}

    @property
    def verdict(self) -> str:
        """The verdict as written, empty where it is missing."""
        return str(self.edibility.get("verdict", ""))

    @property
    def needs(self) -> list[str]:
        """What must be done."""
        return self.edibility.get("needs") or []

    @property
    def cautions(self) -> list[str]:
        """What must be told."""
        return self.edibility.get("cautions") or []

    @property
    def syndromes(self) -> list[str]:
        """The poisonings it causes."""
        return self.edibility.get("syndromes") or []

    @property
    def opinions(self) -> list[dict[str, Any]]:
        """What each source says."""
        return self.edibility.get("opinions") or []

    @property
    def confusions(self) -> list[dict[str, Any]]:
        """What it is taken for."""
        return [each for each in self.value.get("confusions") or [] if each.get("with")]

    @property
    def dismissed(self) -> list[dict[str, Any]]:
        """The computed pairs that the entry answers."""
        return [each for each in self.value.get("not_confused_with") or [] if each.get("with")]

    @property
    def members(self) -> list[str]:
        """What a genus or species group stands for."""
        return self.value.get("members") or []

    @cached_property
    def characters(self) -> dict[str, Value]:
        """The recorded characters, each in the one form of :class:`Value`."""
        return {key: value_of(raw) for key, raw in (self.value.get("characters") or {}).items()}

    @cached_property
    def accept_only(self) -> dict[str, tuple[str | float, ...]]:
        """The specimens that the verdict covers, by character (``stage`` among them)."""
        return {key: _tuple(raw) for key, raw in (self.edibility.get("accept_only") or {}).items()}

    def names(self) -> Iterator[Name]:
        """Yield the current name, then the former ones as they stand."""
        if "name" in self.value:
            yield Name(self.name, self.authorship, "current", ("name",))
        for index, former in enumerate(self.value.get("former_names") or []):
            path = ("former_names", index)
            if isinstance(former, str):
                yield Name(former, "", "former", path)
            elif former.get("name"):
                yield Name(former["name"], former.get("authorship", ""), former.get("kind", "former"), (*path, "name"))

    def vernaculars(self) -> Iterator[tuple[str, int, str]]:
        """Yield language, position and name of each everyday name."""
        for language, names in (self.value.get("vernacular") or {}).items():
            for position, name in enumerate(names):
                yield language, position, name

    def sources(self, part: str) -> tuple[str, ...]:
        """Return the default sources of a part: characters, setting or confusions."""
        return source_ids((self.value.get("sources") or {}).get(part))

    def at(self, *path: Step) -> Mark:
        """Return where the value at the path stands, or its nearest parent."""
        return locate(self.text, self.file, path)

    def at_key(self, *path: Step) -> Mark:
        """Return where the key at the end of the path stands."""
        return locate(self.text, self.file, path, key=True)


@dataclass(slots=True)
class Reading:
    """What came of one file: the entry where there is one, and the troubles with its form."""

    page: Page
    entry: Entry | None = None

    @property
    def file(self) -> str:
        """The file's name from the dataset's root."""
        return self.page.file

    def of(self, kind: str) -> list[Trouble]:
        """Return the troubles of one kind."""
        return [each for each in self.page.troubles if each.kind == kind]


def value_of(raw: Any) -> Value:
    """Return a character's value in one form, whichever way it was written.

    >>> value_of({"is": "present", "source": ["common-practice"]})
    Value(by_stage={'any': ('present',)}, sources=('common-practice',), is_range=False)
    >>> value_of({"young": ["cream"], "mature": "tan"}).by_stage
    {'young': ('cream',), 'mature': ('tan',)}
    """
    sources: tuple[str, ...] = ()
    if isinstance(raw, dict) and "is" in raw:
        raw, sources = raw["is"], source_ids(raw.get("source"))
    by_stage = {stage: _tuple(states) for stage, states in (raw if isinstance(raw, dict) else {UNSTAGED: raw}).items()}
    return Value(by_stage, sources, all(is_range(states) for states in by_stage.values()))


def is_range(states: tuple[str | float, ...]) -> bool:
    """Tell whether numbers are given in the place of words."""
    return all(not isinstance(each, str) for each in states)


def source_ids(raw: Any) -> tuple[str, ...]:
    """Return the ids of a ``source``, whichever way it was written; a recalled one counts as memory."""
    given = raw if isinstance(raw, list) else [] if raw is None else [raw]
    return tuple(each["source"] if isinstance(each, dict) else each for each in given)


def _tuple(raw: Any) -> tuple[str | float, ...]:
    return tuple(raw) if isinstance(raw, list) else (raw,)
