"""Files in one gzipped tar archive: written alike at any time and place, and read back with distrust.

Sources: POSIX.1-2017, pax, "ustar Interchange Format"; RFC 1952 (gzip).
"""

from __future__ import annotations

import gzip
import io
import tarfile
import zlib
from collections.abc import Iterator, Mapping

from sporeproof.findings import plain

# The day that npm gives to all files, 1985-10-26 08:15 UTC; from memory. Readers do not take it for an unknown day.
DAY = 499_162_500
LEVEL = 6
MODE = 0o644
# Deflate, no name and no comment inside, no time, the usual packing, and no system.
HEAD = b"\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\xff"
GZIP = 16 + zlib.MAX_WBITS
BLOCK, RECORD = tarfile.BLOCKSIZE, tarfile.RECORDSIZE
AT_ONCE = 1 << 16
# What an archive or a file in it may be larger than it ought to be, so that a difference can still be told.
SPARE = 1 << 20
LONGEST_NAME = 80


class Torn(Exception):
    """An archive cannot be read further; the message tells why."""


def packed(members: Mapping[str, bytes]) -> bytes:
    """Return a gzipped ustar archive of some files, in the order given."""
    out = io.BytesIO()
    with (
        gzip.GzipFile("", "wb", LEVEL, out, mtime=0) as stream,
        tarfile.open(fileobj=stream, mode="w", format=tarfile.USTAR_FORMAT, encoding="ascii") as archive,
    ):
        for name, data in members.items():
            archive.addfile(_member(name, len(data)), io.BytesIO(data))
    return out.getvalue()


def _member(name: str, size: int) -> tarfile.TarInfo:
    made = tarfile.TarInfo(name)
    made.size, made.mtime, made.mode = size, DAY, MODE
    return made


def unpacked(data: bytes, wanted: Mapping[str, bytes]) -> tuple[dict[str, bytes], list[str]]:
    """Return the wanted files whose bytes are others than wanted, and what is amiss with the archive, in sentences.

    Nothing is written anywhere, and no more is unpacked than the wanted files need.
    """
    amiss: list[str] = []
    others: dict[str, bytes] = {}
    seen: set[str] = set()
    try:
        for name, found in _members(_Unpacking(data, _most(wanted)), wanted):
            if name not in wanted:
                amiss.append(f"it holds {_shown(name)}, which does not belong there")
            elif name in seen:
                amiss.append(f"it holds {name} more than once")
            elif found != wanted[name]:
                others[name] = found
            seen.add(name)
    except Torn as error:
        return others, [*amiss, str(error)]
    return others, [*amiss, *(f"{name} is missing in it" for name in wanted if name not in seen)]


def _most(wanted: Mapping[str, bytes]) -> int:
    """Return how much may be unpacked at most."""
    return sum(len(data) + 2 * BLOCK for data in wanted.values()) + RECORD + SPARE


class _Unpacking:
    """The bytes of a gzip stream, from the first to the last, never more than so many."""

    def __init__(self, data: bytes, most: int) -> None:
        self._data, self._at, self._left = memoryview(data), 0, most
        self._stream = zlib.decompressobj(GZIP)
        self._pending = b""
        self._ready = bytearray()
        if data[: len(HEAD)] != HEAD:
            raise Torn("it does not begin as a gzip archive of a release does")

    def read(self, size: int) -> bytes:
        """Return so many bytes; fewer at the end."""
        while len(self._ready) < size and not self._stream.eof:
            self._ready += self._more()
        found = bytes(self._ready[:size])
        del self._ready[:size]
        return found

    def _more(self) -> bytes:
        if not self._pending:
            self._pending = bytes(self._data[self._at : self._at + AT_ONCE])
            self._at += len(self._pending)
        if not self._pending:
            raise Torn("it cannot be unpacked: it ends too early")
        try:
            found = self._stream.decompress(self._pending, AT_ONCE)
        except zlib.error as error:
            raise Torn(f"it cannot be unpacked: {error}") from error
        self._pending = self._stream.unconsumed_tail
        self._left -= len(found)
        if self._left < 0:
            raise Torn("it unpacks to much more than its files need, and was not read further")
        return found

    def end(self) -> None:
        """Read what remains: nothing but zeros, to a whole record of tar, and nothing behind it."""
        rest = b""
        while found := self.read(RECORD):
            rest += found
            if rest.strip(b"\0") or len(rest) > 2 * RECORD:
                raise Torn("something is hidden behind its last file")
        if self._stream.unused_data or self._at < len(self._data):
            raise Torn("something is hidden behind its end")


def _members(stream: _Unpacking, wanted: Mapping[str, bytes]) -> Iterator[tuple[str, bytes]]:
    """Yield name and bytes of each member, to the end of the archive."""
    while True:
        head = stream.read(BLOCK)
        if not head.strip(b"\0"):
            if len(head) < BLOCK:
                raise Torn("it ends without the mark of an end")
            stream.end()
            return
        member = _head(head)
        if member.size > len(wanted.get(member.name, b"")) + SPARE:
            raise Torn(
                f"{_shown(member.name)} in it unpacks to much more than it needs, and nothing behind it was read"
            )
        data = stream.read(member.size)
        padding = stream.read(-member.size % BLOCK)
        if len(data) < member.size or len(padding) < -member.size % BLOCK:
            raise Torn(f"it ends within {_shown(member.name)}")
        if padding.strip(b"\0"):
            raise Torn(f"something is hidden behind {_shown(member.name)} in it")
        yield member.name, data


def _head(block: bytes) -> tarfile.TarInfo:
    """Return what stands before a file. It is read as ustar has it, without any of the later ways to say more."""
    try:
        member = tarfile.TarInfo.frombuf(block, "utf-8", "surrogateescape")
    except tarfile.HeaderError as error:
        raise Torn(f"it cannot be read as a tar archive: {error}") from error
    wanted = _member(member.name, max(member.size, 0))
    try:
        usual = wanted.tobuf(tarfile.USTAR_FORMAT, "utf-8", "surrogateescape")
    except ValueError as error:
        raise Torn(f"{_shown(member.name)} in it has a name that no release writes") from error
    if usual != block:
        raise Torn(
            f"{_shown(member.name)} in it is no plain file as a release writes it; a link, a device or more rights"
        )
    return member


def _shown(name: str) -> str:
    return f"`{plain(name)[:LONGEST_NAME]}`"
