"""The entry that is told of, and what all that tells of it shares."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sporeproof.form.load import Form
from sporeproof.records.entry import Entry, is_range
from sporeproof.tables.resolve import Checklist

Told = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Subject:
    """The entry that is told of, what it stands among, and the word by which somebody asked for it."""

    entry: Entry
    checklist: Checklist
    form: Form
    protections: list[dict[str, Any]]
    asked: str

    def term(self, vocabulary: str, id: str) -> Told:
        """Return a word with its title and definition; one that the schema does not hold stands for itself."""
        found = self.form.vocabularies[vocabulary].get(id)
        return {"id": id, "title": found.title if found else id, "definition": found.definition if found else ""}

    def terms(self, vocabulary: str, ids: Iterable[str] | None) -> list[Told]:
        """Return several words of one vocabulary in their order."""
        return [self.term(vocabulary, id) for id in ids or ()]


def values_of(form: Form, id: str, given: Iterable[str | float]) -> Told:
    """Return states with their meanings, or low and high with the unit; no number at all is no limit."""
    character = form.characters.get(id)
    values = tuple(given)
    if values and is_range(values):
        unit = character.unit if character else ""
        named = form.vocabularies["units"].get(unit)
        return {"low": values[0], "high": values[-1], "unit": unit, "unit_title": named.title if named else ""}
    known = character.states if character else {}
    return {"states": [{"id": each, "means": known[each].means if each in known else ""} for each in map(str, values)]}


def title_of(form: Form, id: str) -> str:
    """Return a character's title; the keys of the setting, and the age, are words as they stand."""
    return form.characters[id].title if id in form.characters else id.capitalize()


def default_of(entry: Entry, part: str) -> Any:
    """Return the sources of a part of an entry where its values bear none of their own, as written."""
    return (entry.value.get("sources") or {}).get(part)


def cited(raw: Any) -> list[Told]:
    """Return each source with what it recalls, whichever way it was written."""
    listed = raw if isinstance(raw, list) else [] if raw is None else [raw]
    full = [each if isinstance(each, dict) else {"source": each} for each in listed]
    return [{"source_id": each["source"], "recalls": each.get("recalls")} for each in full if each.get("source")]


def taxon_of(s: Subject, entry: Entry) -> Told:
    """Return another entry with its verdict."""
    return {"taxon_id": entry.key, "name": entry.name, "verdict": s.term("verdicts", entry.verdict)}
