"""Figures of a dataset: how many taxa have each verdict, evidence and review state, and how complete they are.

A character is asked of a taxon unless it is known not to apply to it (engine.md, 1): nobody asks for the colour of
a ball's cap. Recorded means that a value stands in the entry; whether it says enough is for the comparisons to tell.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sporeproof.confusion.appearance import APPEARANCE_TABLES, Appearance, Traits, traits_of
from sporeproof.form.load import Form
from sporeproof.tables.build import Tables

TAXA = "taxa"
STATISTICS_TABLES = (TAXA, *APPEARANCE_TABLES)

# What is counted: title, column of `taxa`, and the vocabulary that orders and names what the column holds.
COUNTED = (
    ("Taxa by verdict", "verdict", "verdicts"),
    ("Taxa by evidence of the verdict", "evidence", "evidence"),
    ("Taxa by review state", "review_state", "review-states"),
)


@dataclass(frozen=True, slots=True)
class Figures:
    """A small table for people: a title, a heading for each column, and rows of words and numbers."""

    title: str
    head: tuple[str, ...]
    rows: list[tuple[str | int, ...]]


@dataclass(frozen=True, slots=True)
class Asked:
    """A character that may apply to a taxon, and whether the entry records it."""

    taxon: str
    character: str
    recorded: bool


def statistics(tables: Tables, form: Form) -> list[Figures]:
    """Return the figures of a dataset from its tables ``STATISTICS_TABLES``, rows as built.

    Three tables count taxa; two tell completeness, by entry and by character, least complete first. Shares are
    whole per cents, rounded down.
    """
    columns = [field["name"] for field in form.tables[TAXA]["fields"]]
    taxa = [dict(zip(columns, row, strict=True)) for row in tables[TAXA]]
    asked = list(_asked(taxa, traits_of(tables, form), form))
    return [
        *(_counted(title, [each[column] for each in taxa], terms, form) for title, column, terms in COUNTED),
        _completeness("entry", [each["name"] for each in taxa], [(each.taxon, each.recorded) for each in asked]),
        _completeness("character", list(form.characters), [(each.character, each.recorded) for each in asked]),
    ]


def _counted(title: str, words: list[str], vocabulary: str, form: Form) -> Figures:
    """Count each word of a vocabulary, those that nobody has included."""
    counts = Counter(words)
    return Figures(title, ("", "taxa"), [(id, counts[id]) for id in form.vocabularies[vocabulary]])


def _asked(taxa: list[dict[str, Any]], traits: dict[str, Traits], form: Form) -> Iterator[Asked]:
    for taxon in taxa:
        own = traits.get(taxon["taxon_id"]) or Traits(taxon["taxon_id"])
        look = Appearance(own, form)
        for id, character in form.characters.items():
            if look.shown(character).status != "not-applicable":
                yield Asked(taxon["name"], id, id in own.states or id in own.ranges)


def _completeness(of: str, all_: list[str], asked: list[tuple[str, bool]]) -> Figures:
    total, recorded = Counter(id for id, _ in asked), Counter(id for id, has in asked if has)
    rows = [(id, recorded[id], total[id], 100 * recorded[id] // max(total[id], 1)) for id in all_]
    rows.sort(key=lambda row: (row[3], row[0]))
    return Figures(f"Completeness by {of}", (of, "recorded", "of", "%"), list(rows))
