"""One entry that turns out to be several taxa: what a person does (data-model.md, 6). No program parts an entry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sporeproof.names.merge import RETIRED
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist, references

SEVERAL = (
    "It is several taxa now. Whoever holds its id must be led to all of them, so it ends, and every part gets an id of "
    "its own: a person writes the parts."
)


def steps_apart(entry: Entry, parts: Iterable[str], checklist: Checklist) -> Iterator[str]:
    """Yield how an entry is parted: the parts get ids of their own, and the old id leads to all of them."""
    for part in dict.fromkeys(parts):
        bearers = checklist.find(part).entries
        said = f"it stands in {bearers[0].file}" if bearers else f'write it, beginning with `sporeproof new "{part}"`'
        yield f"{part}: {said}; no milder than {entry.verdict or 'unknown'} unless a source allows it."
    yield "Give the new ones their numbers: `sporeproof number`."
    for other in checklist.entries:
        for path, word in references(other):
            if entry in checklist.find(word).entries:
                at = other.at(*path)
                yield f"{at.file}:{at.line}: name the part that is meant; where that is open, all of them."
    yield f"Delete {entry.file}; list {entry.name} among the former names of its most dangerous part."
    yield (
        f"{RETIRED}: write `{entry.key}: {{was: {entry.name}, consider: [the ids of all parts], "
        "since: the next version, because: why it is several}`."
    )
