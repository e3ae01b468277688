"""Changes in the words of people who know fungi: the sentences stand in the table schemas, under ``says``.

A table's ``change`` may say a sentence for a ``new`` row and for one that is ``gone`` (for one kind of change alone:
``new eased``), for the ``first`` and the ``last`` row of a group, and for another value of a column, by its name; the
sentence without a name stands for all other columns. In braces stand the columns of the row in words, the ``other``
taxon of a pair, the ``old`` and the ``new`` value, and the ``label`` of the column.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from sporeproof.form.load import Form
from sporeproof.release.differences import Row
from sporeproof.release.editions import Editions
from sporeproof.tables.build import BETWEEN
from sporeproof.tables.faults import shown

NOTHING = "not recorded"
ANOTHER = "{label} was {old}, is now {new}"


@cache
def _vocabularies(folder: Path) -> dict[tuple[str, str], str]:
    """Return the vocabulary of each column that has one, by table and column."""
    found = {}
    for path in sorted((folder / "tables").glob("*.json")):
        for each in json.loads(path.read_text("utf-8"))["fields"]:
            if vocabulary := each.get("vocabulary") or each.get("listOf"):
                found[path.stem, each["name"]] = vocabulary
    return found


class Cells(dict[str, str]):
    """The cells of a row in words, made when a sentence asks for them."""

    def __init__(self, editions: Editions, table: str, row: Row, subject: str, more: dict[str, str]) -> None:
        super().__init__(more)
        self.editions, self.table, self.row, self.subject = editions, table, row, subject

    def __missing__(self, column: str) -> str:
        return cell_in_words(self.editions, self.table, column, self.row.get(column))


def cell_in_words(editions: Editions, table: str, column: str, value: Any) -> str:
    """Return a cell for people: what its words are called, the name of a taxon, nothing as such."""
    if value is None or value == "":
        return NOTHING
    if column in editions.taxa_of(table):
        return str(value)
    return ", ".join(_word(editions, table, column, each) for each in shown(value).split(BETWEEN))


def _word(editions: Editions, table: str, column: str, word: str) -> str:
    form = editions.form
    vocabulary = form.vocabularies.get(_vocabularies(form.folder).get((table, column), ""), {})
    if word in vocabulary and column != "unit":
        return vocabulary[word].title
    if column == "character_id":
        return _character(form, word)
    if column in {"source_id", "source_ids", "verdict_source_ids"}:
        return editions.citation(word)
    return word


def _character(form: Form, id: str) -> str:
    return form.characters[id].title if id in form.characters else id.capitalize()


def with_verdict(editions: Editions, id: str) -> str:
    """Return id, name and verdict of a taxon; a new verdict stands behind a new entry, an old one behind an ended."""
    verdict = editions.form.vocabularies["verdicts"].get(editions.verdict(id))
    return f"{editions.named(id)} ({verdict.title})" if verdict else editions.named(id)


def row_in_words(editions: Editions, table: str, row: Row, how: str, kind: str) -> str:
    """Return the sentence of a row that came or went."""
    says = editions.schemas[table]["change"].get("says", {})
    sentence = says.get(f"{how} {kind}") or says.get(how) or _usual(editions, table, how)
    return str(sentence).format_map(_cells(editions, table, row, {}))


def value_in_words(editions: Editions, table: str, column: str, old: Row, new: Row) -> str:
    """Return the sentence of another value in a row."""
    says = editions.schemas[table]["change"].get("says", {})
    label = column.replace("_", " ")
    sentence = says.get(column) or says.get("") or f"{_rest(editions, table)}{ANOTHER}"
    both = {"label": label}
    both |= {key: cell_in_words(editions, table, column, row[column]) for key, row in (("old", old), ("new", new))}
    return str(sentence).format_map(_cells(editions, table, new, both))


def _cells(editions: Editions, table: str, row: Row, more: dict[str, str]) -> Cells:
    subject, other = editions.about(table, row)
    return Cells(editions, table, row, subject, {"other": with_verdict(editions, other) if other else NOTHING} | more)


def _usual(editions: Editions, table: str, how: str) -> str:
    """Return the sentence for a table that says none: its word, and the rest of the key."""
    rest = _rest(editions, table).removesuffix(": ")
    return f"{editions.schemas[table]['change']['word']} {'added' if how == 'new' else 'removed'}: {rest}"


def _rest(editions: Editions, table: str) -> str:
    """Return the key of a row without whom it is about, as part of a sentence."""
    taxa = editions.taxa_of(table)
    keys = [each for each in editions.schemas[table]["primaryKey"] if each not in taxa]
    words = [f"{{{each}}}" for each in keys] + (["{other}"] if len(taxa) > 1 else [])
    return f"{', '.join(words)}: " if words else ""
