"""An archive of a release: some texts that describe it, and tables; written, and held against what it should say."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from sporeproof.release.content import Files
from sporeproof.release.formats.exchange.flat import Flat, csv_of, other_rows
from sporeproof.release.formats.zipped import packed, unpacked

MOST_TOLD = 20


@dataclass(frozen=True, slots=True)
class Archive:
    """What goes into one ZIP file at ``path``; ``other_text`` tells what one text says otherwise than another one."""

    path: str
    texts: Mapping[str, bytes]
    tables: Sequence[Flat]
    other_text: Callable[[bytes, bytes], Iterator[str]]

    @property
    def members(self) -> Files:
        """The files in it, by name."""
        return {**self.texts, **{each.name: csv_of(each) for each in self.tables}}


def written(archive: Archive) -> Files:
    """Return the archive as the one file that it is."""
    return {archive.path: packed(archive.members)}


def amiss(archive: Archive, files: Files) -> Iterator[str]:
    """Yield a sentence for each thing that a received archive lacks, adds or says otherwise; twenty at most."""
    if archive.path not in files:
        yield f"{archive.path} is missing."
        return
    yield from (f"{archive.path}: {each}." for each in islice(_amiss(archive, files[archive.path]), MOST_TOLD))


def _amiss(archive: Archive, data: bytes) -> Iterator[str]:
    wanted = archive.members
    found, odd = unpacked(data, wanted)
    yield from odd
    for name in archive.texts:
        if name in found:
            yield from (f"{name} {each}" for each in archive.other_text(found[name], wanted[name]))
    for table in archive.tables:
        if table.name in found and found[table.name] != wanted[table.name]:
            yield from (f"{table.name} {each}" for each in other_rows(found[table.name], table))
