"""Gives new entries their ids: the next after the highest that was ever given, retired ones counted."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from sporeproof.records.entry import NOT_NUMBERED, Entry, Reading
from sporeproof.records.read import Companion
from sporeproof.tables.resolve import references
from sporeproof.text.edit import EditRefused, replace_words
from sporeproof.text.files import fetch, replace

ID = re.compile(r"F([0-9]{4,})")


class NotNumbered(Exception):
    """No id was given; the message says why, and what to do."""


def number(readings: Iterable[Reading], retired: Companion) -> list[tuple[Entry, str]]:
    """Return the entries that have no id yet, in the order of their files, each with its id.

    Raises :class:`NotNumbered` where a file cannot be read: it may hold the highest id, and no id is ever
    given twice.
    """
    entries = _readable(list(readings), retired)
    new = sorted((entry for entry in entries if entry.id == NOT_NUMBERED), key=lambda entry: entry.file)
    _refuse_stems(entries, {entry.stem: entry for entry in new})
    highest = max(_given(entries, retired), default=0)
    return [(entry, f"F{at:04}") for at, entry in enumerate(new, highest + 1)]


def write_numbers(numbers: Iterable[tuple[Entry, str]], root: Path) -> None:
    """Write the ids into their files, each file whole; a run that ends between two is finished by the next.

    Nothing else in the files changes. All edits are made before the first file is written.
    """
    edits = [(entry, _numbered(entry, id, root)) for entry, id in numbers]
    for entry, text in edits:
        replace(root / entry.file, text.encode())


def _numbered(entry: Entry, id: str, root: Path) -> str:
    if fetch(root / entry.file, root) != entry.text.encode():
        raise NotNumbered(f"{entry.file} was changed meanwhile: run `sporeproof number` again.")
    try:
        return replace_words(entry.text, {("id",): id})
    except EditRefused as error:
        raise NotNumbered(f"{entry.file}: {error}") from error


def _readable(readings: list[Reading], retired: Companion) -> list[Entry]:
    """Return the entries; raises where a file, or the record of retired ids, may hold an id unseen."""
    entries = []
    for reading in readings:
        if reading.entry is None or not reading.entry.id:
            raise NotNumbered(f"{reading.file} gives no id that can be read, so the next is not known: mend it.")
        entries.append(reading.entry)
    if retired.page.troubles:
        raise NotNumbered(f"{retired.page.file} cannot be read whole, so the next id is not known: mend it.")
    return entries


def _refuse_stems(entries: list[Entry], new: dict[str, Entry]) -> None:
    """Raise where a reference uses a file's stem, which stands for the id only until one is given."""
    for entry in entries:
        for path, word in references(entry):
            if word in new:
                at, name = entry.at(*path), new[word].name
                raise NotNumbered(f"{at.file}:{at.line}: `{word}` is a file's name: write {name} instead.")


def _given(entries: list[Entry], retired: Companion) -> Iterator[int]:
    """Yield the number of every id that was ever given, and of those that a retired one leads to."""
    ids = [entry.id for entry in entries]
    for id, each in retired.value.items():
        ids += [id, *(each.get("replaced_by") or []), *(each.get("consider") or [])]
    for id in ids:
        if found := ID.fullmatch(id):
            yield int(found[1])
