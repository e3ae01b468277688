"""Builds appearances from a few lines, for tests that need a taxon with given traits. All of them invented."""

from __future__ import annotations

from typing import Any

from sporeproof.confusion.appearance import APPEARANCE_TABLES, Appearance, Traits, traits_of
from sporeproof.confusion.separation import Contrast, compare, contrast, separators
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.build import Facts, build
from sporeproof.tables.resolve import Checklist


def look(form: Form, characters: dict[str, Any], accept_only: dict[str, Any] | None = None) -> Appearance:
    """Return the appearance of a taxon with these characters."""
    value = {"id": "F9001", "characters": characters, "edibility": {"accept_only": accept_only or {}}}
    return look_of(form, Entry("dataset/taxa/fictum-commune.yaml", "", value))


def look_of(form: Form, entry: Entry) -> Appearance:
    """Return the appearance of an entry."""
    tables = build(Facts(Checklist([entry]), form, {}, []), APPEARANCE_TABLES)
    return Appearance(traits_of(tables, form).get(entry.key) or Traits(entry.key), form)


def told(form: Form, a: Appearance, b: Appearance, character: str) -> Contrast:
    """Return the contrast of one character."""
    return contrast(a, b, form.characters[character], form)


def apart(form: Form, a: Appearance, b: Appearance, level: str = "field", required: int = 2) -> int:
    """Return how much separates a pair at a level."""
    return separators(compare(a, b, form), level, required, form)


def by(form: Form, a: Appearance, b: Appearance) -> set[str]:
    """Return the characters that separate a pair."""
    return {each.character.id for each in compare(a, b, form) if each.separates == "yes"}
