"""Looks through text as it streams by: is it UTF-8, how many rows, are all as wide as the first, is a quote open."""

from __future__ import annotations

import codecs
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sporeproof.findings import plain
from sporeproof.names.download.unpacking import Unopened

LONGEST_LINE = 4 * 1024 * 1024
WORTH_NUMPY = 128 * 1024
BOM = codecs.BOM_UTF8
NEWLINE, RETURN, QUOTE = 10, 13, 34


def count_of(block: bytes, sign: bytes) -> int:
    """Return how often a sign of one byte is there: three times as fast as Python where there is much to count."""
    if len(block) < WORTH_NUMPY:
        return block.count(sign)
    import numpy as np

    return int(np.count_nonzero(np.frombuffer(block, np.uint8) == sign[0]))


def _decoder() -> Any:
    return codecs.getincrementaldecoder("utf-8")()


@dataclass(slots=True)
class Letters:
    """What is known of the letters so far. ``lines`` counts line ends, ``since`` the bytes after the last of them."""

    decoder: Any = field(default_factory=_decoder)
    lines: int = 0
    since: int = 0

    def take(self, block: bytes) -> int:
        """Look at the next block and return its line ends; raises :class:`Unopened` at the first byte not of UTF-8."""
        if b"\0" in block:
            raise self._zero(block)
        if not block.isascii() or self.decoder.getstate()[0]:
            self._decode(block, final=False)
        count = count_of(block, b"\n")
        self.lines += count
        self.since = len(block) - block.rfind(b"\n") - 1 if count else self.since + len(block)
        return count

    def end(self) -> None:
        """Raise :class:`Unopened` where the text ends within a letter."""
        self._decode(b"", final=True)

    def _decode(self, block: bytes, *, final: bool) -> None:
        try:
            self.decoder.decode(block, final)
        except UnicodeDecodeError as error:
            if final:
                raise Unopened("it ends in the middle of a letter: the file was cut. Download it again.") from None
            raise self._not_utf8(error) from None

    def _not_utf8(self, error: UnicodeDecodeError) -> Unopened:
        line, byte = self._place(error.object, error.start, len(self.decoder.getstate()[0]))
        sign = error.object[error.start]
        read = plain(bytes([sign]).decode("cp1252", "replace"))
        return Unopened(
            f"line {line}, byte {byte} is not UTF-8 (0x{sign:02X}; in Latin-1 or Windows-1252 it would be `{read}`). "
            "Save it as UTF-8 with the program that wrote it; guessing would change names."
        )

    def _zero(self, block: bytes) -> Unopened:
        line, byte = self._place(block, block.index(b"\0"), 0)
        return Unopened(
            f"line {line}, byte {byte} is a zero byte, which no text in UTF-8 holds: it is UTF-16, no text at all, "
            "or was damaged. Save it as UTF-8, or download it again."
        )

    def _place(self, block: bytes, at: int, pending: int) -> tuple[int, int]:
        before = block[:at]
        inside = at - before.rfind(b"\n") if b"\n" in before else self.since - pending + at + 1
        return self.lines + before.count(b"\n") + 1, inside


@dataclass(slots=True)
class Tally:
    """What is known of the rows so far; ``delimiter`` is one byte, ``quote`` one or none, ``width`` counts columns.

    ``returns`` counts the CR that stand outside quotes. The borders of fields and rows, taken alone, must come in the
    same order again and again: comparing them with ``_due`` tells of every row whether it is as wide as it should be.
    """

    delimiter: bytes
    quote: bytes
    width: int
    letters: Letters = field(default_factory=Letters)
    rows: int = 0
    returns: int = 0
    is_even: bool = True
    phase: int = 0
    length: int = 0
    is_open: bool = False
    opened_on: int = 0
    last: int = NEWLINE
    _due: bytes = b""
    _others: bytes = b""

    @property
    def has_line_end(self) -> bool:
        """Tell whether the last row ends with a line end."""
        return self.last == NEWLINE

    def take(self, block: bytes) -> None:
        """Look at the next block; raises :class:`Unopened` where it cannot be read in one way only."""
        lines_before = self.letters.lines
        self.letters.take(block)
        if self.quote and (self.is_open or self.last == QUOTE or self.quote in block):
            borders = self._take_quoted(block, lines_before)
            ends = borders.count(b"\n")
            self._stretch(0 if ends else len(block), 0 if ends else self.length + len(block))
        else:
            borders = block.translate(None, self._others or self._set_others())
            ends = borders.count(b"\n")
            if b"\r" in block:
                self.returns += block.count(b"\r")
                borders = borders.translate(None, b"\r")
            self._stretch(block.find(b"\n") if ends else len(block), self.letters.since)
        self.rows += ends
        self._compare(borders)
        if self.width == 1:
            self._meet_blank(bytes([self.last]) + block)
        self.last = block[-1]

    def end(self) -> None:
        """Raise :class:`Unopened` where the text ends too early; a last row without a line end is counted too."""
        self.letters.end()
        if self.is_open:
            raise self._left_open()
        if not self.has_line_end:
            self.rows += 1
            self.is_even = self.is_even and self.phase == self.width - 1
        else:
            self.is_even = self.is_even and self.phase == 0

    def _set_others(self) -> bytes:
        kept = self.delimiter + b"\n" + (b'"\r' if self.quote else b"")
        self._others = bytes(sign for sign in range(256) if sign not in kept)
        return self._others

    def _compare(self, borders: bytes) -> None:
        """Compare the borders of a block with what is due."""
        if len(self._due) < self.phase + len(borders):
            row = self.delimiter * (self.width - 1) + b"\n"
            self._due = row * (len(borders) // self.width + 2)
        self.is_even = self.is_even and self._due.startswith(borders, self.phase)
        self.phase = (self.phase + len(borders)) % self.width

    def _meet_blank(self, block: bytes) -> None:
        """With one column, an empty line has the borders of a row."""
        self.is_even = self.is_even and b"\n\n" not in block and b"\n\r\n" not in block

    def _stretch(self, first: int, rest: int) -> None:
        """Follow the length of the row that goes on from block to block."""
        if self.length + first > LONGEST_LINE:
            if self.is_open:
                raise self._left_open()
            raise Unopened(
                f"line {self.letters.lines + 1} or one before it is longer than 4 MiB, as no row of names is. "
                "Take the file from its publisher."
            )
        self.length = rest

    def _left_open(self) -> Unopened:
        return Unopened(
            f"a quotation mark that opens on line {self.opened_on} is never closed, so rows cannot be told apart. "
            "Close it there, or download the file again if it was cut."
        )

    def _take_quoted(self, block: bytes, lines_before: int) -> bytes:
        """Return the borders of fields and rows in a block that holds quotes, or stands within them."""
        import numpy as np

        self._meet_strays(block, lines_before)
        kept = np.frombuffer(block.translate(None, self._others or self._set_others()), np.uint8)
        marks = kept == QUOTE
        is_outside = (np.cumsum(marks, dtype=np.uint8) & 1) == self.is_open
        outside = bytes(kept[is_outside & ~marks])
        self.returns += outside.count(b"\r")
        if (self.is_open + int(np.count_nonzero(marks))) % 2:
            if marks.any():
                self.opened_on = lines_before + block[: block.rfind(b'"')].count(b"\n") + 1
            self.is_open = True
        else:
            self.is_open = False
        return outside.translate(None, b"\r")

    def _meet_strays(self, block: bytes, lines_before: int) -> None:
        """Raise where a quotation mark neither begins nor ends a field: programs differ in what they make of it."""
        import numpy as np

        signs = np.frombuffer(block, np.uint8)
        at = np.flatnonzero(signs == QUOTE)
        opens, closes = at[int(self.is_open) :: 2], at[1 - int(self.is_open) :: 2]
        closes = closes[:-1] if len(closes) and closes[-1] + 1 == len(signs) else closes
        before = signs[opens - 1]
        if len(opens) and opens[0] == 0:
            before[0] = self.last
        may_open, may_follow = np.zeros((2, 256), bool)
        may_open[[*self.delimiter, NEWLINE, QUOTE]] = True
        may_follow[[*self.delimiter, NEWLINE, RETURN, QUOTE]] = True
        stray = [*opens[~may_open[before]][:1], *closes[~may_follow[signs[closes + 1]]][:1]]
        if self.last == QUOTE and not self.is_open and block[:1] not in (self.delimiter, b"\r", b"\n", b'"'):
            stray.append(0)
        if stray:
            line = lines_before + block[: int(min(stray))].count(b"\n") + 1
            raise Unopened(
                f"line {line} has a quotation mark in the middle of a field, which programs read in different ways. "
                "Put the field in quotation marks and double those inside it, or save it as tab-separated text."
            )


@dataclass(frozen=True, slots=True)
class Ragged:
    """The first row of another width: its line (0: none), its fields, whether it is the last.

    ``blanks`` counts the empty lines at the end, ``filled`` the bytes before them.
    """

    line: int = 0
    width: int = 0
    is_last: bool = False
    blanks: int = 0
    filled: int = 0


def first_ragged(path: Path, delimiter: bytes, quote: bytes, width: int) -> Ragged:
    """Go through a file again, slowly, for the row that spoils the sum; empty lines at the end spoil nothing."""
    blank = blanks = filled = 0
    rows = rows_in(path, quote)
    for line, row in rows:
        if not row.strip(b"\r\n"):
            blank, blanks = blank or line, blanks + 1
        elif blank:
            return Ragged(blank)
        elif (wide := _wide(row, delimiter, quote)) != width:
            return Ragged(line, wide, next(rows, None) is None)
        else:
            filled += len(row)
    return Ragged(blanks=blanks, filled=filled)


def rows_in(path: Path, quote: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield the line that a row begins on, and the row, which may go over several lines where quoted."""
    row, start = b"", 1
    with path.open("rb") as file:
        for number, line in enumerate(file, 1):
            row, start = (row + line, start) if row else (line, number)
            if not quote or row.count(quote) % 2 == 0:
                yield start, row
                row = b""


def _wide(row: bytes, delimiter: bytes, quote: bytes) -> int:
    parts = row.split(quote)[::2] if quote else [row]
    return sum(part.count(delimiter) for part in parts) + 1
