"""Follows any id or name that was ever used to today's entries. Nothing else in the house does."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sporeproof.records.entry import Entry

Retired = dict[str, dict[str, Any]]
Sources = dict[str, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Link:
    """Where a reference leads: the entries it may mean, and by what it found them.

    ``by`` is current, id, former, vernacular, retired, or empty where nothing answers.
    """

    word: str
    entries: tuple[Entry, ...] = ()
    by: str = ""

    @property
    def one(self) -> Entry | None:
        """The entry, if the reference means exactly one."""
        return self.entries[0] if len(self.entries) == 1 else None


class Checklist:
    """The entries by id and by every name they bear; a current name wins over a former, that over a vernacular.

    ``sources`` are those that the entries may cite, as ``sources.yaml`` gives them.
    """

    def __init__(
        self, entries: Iterable[Entry], retired: Retired | None = None, sources: Sources | None = None
    ) -> None:
        self.entries = list(entries)
        self.retired = retired or {}
        self.sources = sources or {}
        self.by_key: dict[str, Entry] = {entry.key: entry for entry in reversed(self.entries)}
        self._found: dict[str, dict[str, list[Entry]]] = {"current": {}, "former": {}, "vernacular": {}}
        self._links: dict[str, Link] = {}
        for entry in self.entries:
            self._enter(entry)

    def _enter(self, entry: Entry) -> None:
        for each in entry.names():
            self._put("current" if each.role == "current" else "former", spelled(each.name), entry)
        for _, _, name in entry.vernaculars():
            self._put("vernacular", name.casefold(), entry)

    def _put(self, by: str, word: str, entry: Entry) -> None:
        there = self._found[by].setdefault(word, [])
        if all(other is not entry for other in there):
            there.append(entry)

    def find(self, word: str) -> Link:
        """Return where a name or id leads; a vernacular name in any case of letters."""
        if word not in self._links:  # many rules ask for the same few
            self._links[word] = self._find(word)
        return self._links[word]

    def _find(self, word: str) -> Link:
        if word in self.by_key:
            return Link(word, (self.by_key[word],), "id")
        if word in self.retired:
            return Link(word, tuple(self.successors(word)), "retired")
        for by, spelling in (("current", spelled(word)), ("former", spelled(word)), ("vernacular", word.casefold())):
            if found := self._found[by].get(spelling):
                return Link(word, tuple(found), by)
        return Link(word)

    def successors(self, id: str) -> list[Entry]:
        """Return the entries that a retired id leads to directly; links to links are not followed."""
        retired = self.retired[id]
        ids = [*(retired.get("replaced_by") or []), *(retired.get("consider") or [])]
        return [self.by_key[each] for each in ids if each in self.by_key]

    def linked(self, entry: Entry) -> list[tuple[int, dict[str, Any], Link]]:
        """Return position, block and link of each of an entry's confusions."""
        return [
            (index, each, self.find(each["with"]))
            for index, each in enumerate(entry.value.get("confusions") or [])
            if each.get("with")
        ]

    def words(self) -> list[str]:
        """Return every current and former name, for a "did you mean"."""
        return [*self._found["current"], *self._found["former"]]


def spelled(name: str) -> str:
    """Return a name with single spaces, so that a stray one does not cut a link."""
    return " ".join(name.split())


def stem_of(name: str) -> str:
    """Return the file stem that a binomial asks for.

    >>> stem_of("Amanita phalloides var. alba")
    'amanita-phalloides-var-alba'
    """
    return "-".join(name.lower().replace(".", "").split())


def references(entry: Entry) -> list[tuple[tuple[str | int, ...], str]]:
    """Return path and word of everything in an entry that must lead to another entry."""
    found: list[tuple[tuple[str | int, ...], str]] = []
    for block in ("confusions", "not_confused_with"):
        for index, each in enumerate(entry.value.get(block) or []):
            if each.get("with"):
                found.append(((block, index, "with"), each["with"]))
    found += [(("members", index), word) for index, word in enumerate(entry.members)]
    return found
