"""Reads the files of a tar archive that a stranger may have made, in one pass, into memory.

Source: POSIX.1-2017, pax, "ustar Interchange Format". Of the later ways to say more, only what says nothing of names
and sizes is passed over; a file whose name or size stands in such an addition is refused.
"""

from __future__ import annotations

import gzip
import re
import tarfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO

from sporeproof.findings import plain
from sporeproof.release.refusals import ReleaseError

BLOCK = tarfile.BLOCKSIZE
AT_ONCE = 1 << 20
MOST_ADDED = 1 << 16
FILES = frozenset({tarfile.REGTYPE, tarfile.AREGTYPE})
ADDED = frozenset({tarfile.XHDTYPE, tarfile.XGLTYPE})
# Additions that would make a file another one than its head says.
MEANING = re.compile(rb"(?:^|\n)\d+ (?:path|linkpath|size|hdrcharset|GNU\.sparse[^=]*)=")


class Tarred:
    """Yields name, size and bytes of each file, the bytes empty unless they are to be kept.

    ``meet`` is asked with the bytes unpacked so far, those of the packed archive, and where that is.
    """

    def __init__(
        self,
        stream: IO[bytes] | gzip.GzipFile,
        place: Path,
        packed: int,
        meet: Callable[[int, int, str], None],
        most: int,
        keep: bool = False,
    ) -> None:
        self._stream, self._place, self._packed, self._meet = stream, place, packed, meet
        self._most, self._keep, self._read = most, keep, 0

    def __iter__(self) -> Iterator[tuple[str, int, bytes]]:
        count = 0
        while (head := self._take(BLOCK)).strip(b"\0"):
            member = self._head(head)
            count += 1
            if count > 2 * self._most:
                raise ReleaseError(f"{self._place} holds more than {self._most:,} files, as no release does.")
            if member.type in ADDED:
                self._pass_over(member)
                continue
            self._meet(self._read + member.size, self._packed, str(self._place))
            data = self._bytes(member.size, self._keep)
            if self._take(-member.size % BLOCK).strip(b"\0"):
                raise ReleaseError(f"{self._place}: something is hidden behind {plain(member.name)} in it.")
            if member.type in FILES:
                yield member.name.removeprefix("./"), member.size, data
        while rest := self._next(AT_ONCE):
            if rest.strip(b"\0"):
                raise ReleaseError(f"{self._place}: something is hidden behind its last file.")

    def _head(self, block: bytes) -> tarfile.TarInfo:
        try:
            member = tarfile.TarInfo.frombuf(block, "utf-8", "surrogateescape")
        except tarfile.HeaderError as error:
            raise ReleaseError(f"{self._place} cannot be read as a tar archive: {error}.") from error
        if member.type not in FILES | ADDED | {tarfile.DIRTYPE} or member.size < 0:
            raise ReleaseError(
                f"{self._place}: {plain(member.name)[:200]} in it is a link, a device or the like instead of a file. "
                "Nothing was unpacked."
            )
        if member.type == tarfile.DIRTYPE and member.size:
            raise ReleaseError(f"{self._place}: {plain(member.name)[:200]} in it is a folder with bytes of its own.")
        return member

    def _pass_over(self, member: tarfile.TarInfo) -> None:
        said = self._bytes(member.size, keep=True) if member.size <= MOST_ADDED else b"0 size="
        self._take(-member.size % BLOCK)
        if MEANING.search(said):
            raise ReleaseError(
                f"{self._place}: the name or size of a file in it stands in an addition to its head, as in no archive "
                "of a release. Pack the folder anew in the form `ustar`."
            )

    def _bytes(self, size: int, keep: bool) -> bytes:
        kept = bytearray()
        while size:
            block = self._take(min(size, AT_ONCE))
            size -= len(block)
            if keep:
                kept += block
        return bytes(kept)

    def _take(self, size: int) -> bytes:
        found = self._next(size)
        if len(found) < size:
            raise EOFError("it ends too early")
        return found

    def _next(self, size: int) -> bytes:
        found: bytes = self._stream.read(size)
        self._read += len(found)
        self._meet(self._read, self._packed, str(self._place))
        return found
