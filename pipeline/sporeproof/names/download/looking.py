"""Looks through a text from its first byte to its last, copying it where that is needed, and says what was seen."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from sporeproof.names.download.foreign import foreign
from sporeproof.names.download.layout import SAMPLE_LETTERS, SIMPLE_NULL, Layout
from sporeproof.names.download.rows import BOM, LONGEST_LINE, Letters, Ragged, Tally, first_ragged, rows_in
from sporeproof.names.download.unpacking import BLOCK, Progress, Unopened, ahead, bounded, copied


@dataclass(frozen=True, slots=True)
class Text:
    """Text on its way. ``plain_at``: the file where it is plain already; ``size``: of the text, 0 where not known.

    ``packed`` returns how many packed bytes were read so far, of ``packed_size``.
    """

    blocks: Iterator[bytes]
    packed: Callable[[], int]
    packed_size: int
    laid_out: Callable[[str], Layout]
    plain_at: Path | None = None
    size: int = 0


@dataclass(frozen=True, slots=True)
class Looked:
    """What was seen: the layout, the plain file, its rows of data."""

    layout: Layout
    path: Path
    rows: int


def looked_through(text: Text, folder: Path, most_bytes: int, progress: Progress) -> Looked:
    """Look through a text, copied into ``folder`` unless it is plain; raises :class:`Unopened`, leaving nothing."""
    with closing(ahead(text.blocks)) as blocks:
        head, is_all, rest = _head(_shown(bounded(blocks, text.packed, most_bytes), text, progress))
        if reason := foreign(head, inside=text.plain_at is None):
            raise Unopened(reason)
        plain_at = None if head.startswith(BOM) else text.plain_at
        head = head.removeprefix(BOM)
        layout = text.laid_out(_sample(head, is_all=is_all))
        tally = Tally(layout.delimiter.encode(), layout.quote.encode(), len(layout.columns))
        return _laid_down(_tallied(chain([head], rest), tally), tally, layout, plain_at, folder)


def _laid_down(stream: Iterator[bytes], tally: Tally, layout: Layout, plain_at: Path | None, folder: Path) -> Looked:
    """Return what was seen once the stream is through; empty lines at its end are left out of a copy."""
    copy = None
    try:
        if plain_at is None:
            copy = copied(stream, folder)
        else:
            for _ in stream:
                pass
        at = plain_at or copy
        assert at
        end = _evened(tally, at, is_array=layout.escaped)
        _meet_ends(tally, layout, at)
        rows = tally.rows - end.blanks - layout.has_header
        if end.blanks:
            at = copy = copy or copied(_blocks(at), folder)
            os.truncate(copy, end.filled)
        if rows <= 0:
            raise Unopened("it holds the names of its columns and no rows. Download it again, or choose more.")
    except BaseException:
        if copy:
            copy.unlink(missing_ok=True)
        raise
    return Looked(layout, at, rows)


def _blocks(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            yield block


def _shown(blocks: Iterable[bytes], text: Text, progress: Progress) -> Iterator[bytes]:
    total = 0
    for block in blocks:
        total += len(block)
        progress("opening", total if text.size else text.packed(), text.size or text.packed_size)
        yield block


def _head(blocks: Iterator[bytes]) -> tuple[bytes, bool, Iterator[bytes]]:
    """Return the first blocks joined, whether they are all there is, and the others."""
    head = b""
    while len(head) < LONGEST_LINE:
        if not (block := next(blocks, b"")):
            return head, True, blocks
        head += block
        if len(head) >= SAMPLE_LETTERS and b"\n" in head:
            break
    return head, False, blocks


def _sample(head: bytes, *, is_all: bool) -> str:
    """Return the first lines as text, all of them whole; raises :class:`Unopened` where they are no text."""
    if not head:
        raise Unopened("there is nothing in it. Download it again.")
    first = head.find(b"\n") + 1
    if not is_all or len(head) > max(first, SAMPLE_LETTERS):
        head = head[: head.rfind(b"\n", 0, max(first, SAMPLE_LETTERS)) + 1] or head
    letters = Letters()
    letters.take(head)
    if not first and not is_all:
        raise Unopened("its first line is longer than 4 MiB. Take the file from its publisher.")
    letters.end()
    return head.decode()


def _tallied(blocks: Iterable[bytes], tally: Tally) -> Iterator[bytes]:
    for block in blocks:
        tally.take(block)
        yield block
    tally.end()


def _evened(tally: Tally, at: Path, *, is_array: bool) -> Ragged:
    """Return the empty lines at the end, if any; raises :class:`Unopened` where rows are not of one width."""
    if tally.is_even:
        return Ragged()
    ragged = first_ragged(at, tally.delimiter, tally.quote, tally.width)
    if not ragged.line:
        return ragged
    if not ragged.width:
        raise Unopened(f"line {ragged.line} is empty, and rows follow it. Delete that line.")
    said = f"line {ragged.line} has {ragged.width} columns instead of {tally.width}"
    if ragged.is_last and (is_array or not tally.has_line_end):
        raise Unopened(f"{said} and is the last: the file was cut. Download it again.")
    raise Unopened(
        f"{said}, so its cells would be read under the wrong headings. Mend that line, or write the file anew."
    )


def _meet_ends(tally: Tally, layout: Layout, at: Path) -> None:
    """Raise :class:`Unopened` where lines do not end as they should."""
    if tally.returns not in {0, tally.rows, tally.rows - (not tally.has_line_end)}:
        raise _mixed(at, tally.quote)
    if layout.escaped and not tally.has_line_end and not _ends_whole(at):
        raise Unopened("its last line ends in the middle: the file was cut. Download it again.")


def _mixed(at: Path, quote: bytes) -> Unopened:
    """Return what is said where a CR ends some lines only: for one program it ends a row, for another it does not."""
    ends = ((line, row) for line, row in rows_in(at, quote) if row.strip(b"\r\n"))
    _, first = next(ends)
    is_usual = first.endswith(b"\r\n")
    line = next((line for line, row in ends if row.endswith(b"\r\n") != is_usual or b"\r" in row[:-2]), 1)
    return Unopened(
        f"line {line} ends in another way than the first, or has a line break of old Macs (CR) within it, and programs "
        "differ in what they make of it. Save it anew with the same line ends throughout."
    )


def _ends_whole(at: Path) -> bool:
    """Tell whether the last column of the simple file, an array, is there to its end."""
    with at.open("rb") as file:
        file.seek(-2, os.SEEK_END)
        last = file.read()
    return last.endswith(b"}") or last == SIMPLE_NULL.encode()
