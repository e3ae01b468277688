"""Sheets of a received workbook, read as a stream and with distrust.

Only expat reads them, chunk by chunk: a document type, and with it every entity, is refused; anything but plain cells
below the head is refused; nothing is kept of a row once it was compared.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import IO
from xml.parsers import expat

CHUNK = 1 << 16
ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
PLAIN = frozenset({"c", "is", "t", "v"})
ROW_WORDS = {"r", "spans"}

# A cell as written: where it stands, its type, its style, its text. ("A1", "inlineStr", "2", "words")
Cell = tuple[str, str, str, str]
Frame = list[tuple[str, ...]]


class Odd(Exception):
    """A sheet that no release writes; the words say in what."""


class Reading:
    """A sheet in the course of being read: ``frame`` is all but the rows below the head."""

    def __init__(self, stream: IO[bytes], most: int) -> None:
        self.frame: Frame = []
        self._stream, self._most = stream, most
        self._rows: list[tuple[str, list[Cell]]] = []
        self._number = ""
        self._cells: list[Cell] | None = None
        self._cell = ("", "", "")
        self._text: list[str] = []
        parser = self._parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartDoctypeDeclHandler = _refuse
        parser.ProcessingInstructionHandler = _refuse
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler = self._said

    def rows(self) -> Iterator[tuple[str, list[Cell]]]:
        """Yield number and cells of each row below the head; raises :class:`Odd` and ``expat.ExpatError``."""
        taken = 0
        while chunk := self._stream.read(CHUNK):
            taken += len(chunk)
            if taken > self._most:
                raise Odd("unpacks to much more than its rows need")
            self._parser.Parse(chunk, False)
            yield from self._rows
            self._rows.clear()
        self._parser.Parse(b"", True)
        yield from self._rows

    def _start(self, tag: str, words: dict[str, str]) -> None:
        if self._cells is not None:
            self._in_row(tag, words)
        elif tag == "row" and words.get("r") != "1":
            if not words.keys() <= ROW_WORDS:
                raise Odd("has a row that is hidden or shaped otherwise")
            self._number, self._cells = words.get("r", ""), []
        elif tag == "f":
            raise Odd("holds a formula")
        elif tag != "dimension":
            self.frame.append((tag, *(f"{key}={words[key]}" for key in sorted(words))))

    def _in_row(self, tag: str, words: dict[str, str]) -> None:
        if tag == "c":
            self._cell = (words.get("r", ""), words.get("t", "n"), words.get("s", ""))
            self._text.clear()
        elif tag not in PLAIN:
            raise Odd("holds a formula" if tag == "f" else "holds more than plain cells")

    def _end(self, tag: str) -> None:
        if self._cells is None:
            return
        if tag == "c":
            self._cells.append((*self._cell, unescaped("".join(self._text))))
        elif tag == "row":
            self._rows.append((self._number, self._cells))
            self._cells = None

    def _said(self, text: str) -> None:
        if self._cells is not None:
            self._text.append(text)
        else:
            self.frame.append((text,))


def _refuse(*_: object) -> None:
    raise Odd("holds a document type or an instruction, which no workbook needs")


def styles(frame: Frame) -> dict[int, str]:
    """Return the style of each column, counted from 0, that a sheet sets."""
    found: dict[int, str] = {}
    for tag, *words in frame:
        if tag == "col":
            said = dict(word.split("=", 1) for word in words)
            places = range(int(said["min"]) - 1, int(said["max"]))
            found.update(dict.fromkeys(places, said.get("style", "")))
    return found


def unescaped(text: str) -> str:
    r"""Return a text as a person sees it: signs that XML cannot hold stand as ``_xHHHH_``.

    >>> unescaped("a_x0009_b"), unescaped("_x005F_x0009_")
    ('a\tb', '_x0009_')
    """
    return ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if "_x" in text else text
