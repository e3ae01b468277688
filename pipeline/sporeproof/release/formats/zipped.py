"""Files in one ZIP archive: written alike at any time and place, and read back with distrust."""

from __future__ import annotations

import io
import stat
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator, Mapping

from sporeproof.findings import plain

DAY = (1980, 1, 1, 0, 0, 0)
LEVEL = 6
PLAIN_FILE = (stat.S_IFREG | 0o644) << 16
UNIX = 3
METHODS = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
ENCRYPTED = 0x1 | 0x40
# Bytes that an archive has beside the packed files: a head here and one in the list, each with the name, and the end.
HEADS, END = 30 + 46, 22
# What an archive or a file in it may be larger than it ought to be, so that a difference can still be told.
SPARE = 1 << 20
LONGEST_NAME = 80
TORN = (zipfile.BadZipFile, zlib.error, OSError, EOFError, ValueError, RuntimeError, struct.error, IndexError)


def packed(members: Mapping[str, bytes]) -> bytes:
    """Return a ZIP archive of some files, in the order given; the bytes tell neither when nor where it was made."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in members.items():
            archive.writestr(_member(name), data, compresslevel=LEVEL)
    return out.getvalue()


def _member(name: str) -> zipfile.ZipInfo:
    made = zipfile.ZipInfo(name, DAY)
    made.compress_type = zipfile.ZIP_DEFLATED
    made.external_attr = PLAIN_FILE
    made.create_system = UNIX
    return made


def unpacked(data: bytes, wanted: Mapping[str, bytes]) -> tuple[dict[str, bytes], list[str]]:
    """Return the wanted files that an archive holds, by name, and what is amiss with it, in sentences.

    No other member is opened, nothing is written anywhere, and no more is unpacked than the wanted files need.
    """
    if len(data) > 2 * sum(map(len, wanted.values())) + SPARE:
        return {}, [f"it has {len(data)} bytes, many more than its files need, and was not opened"]
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except TORN as error:
        return {}, [f"it cannot be read as a ZIP archive: {_said(error)}"]
    with archive:
        found = {each.filename: each for each in archive.infolist()}
        amiss = [
            *_odd(archive, len(data), wanted),
            *(f"{name} is missing in it" for name in wanted if name not in found),
        ]
        read: dict[str, bytes] = {}
        for name in wanted:
            if name not in found:
                continue
            content = _read(archive, found[name], len(wanted[name]) + SPARE)
            if isinstance(content, str):
                amiss.append(f"{name} {content}")
            else:
                read[name] = content
    return read, amiss


def _odd(archive: zipfile.ZipFile, size: int, wanted: Mapping[str, bytes]) -> Iterator[str]:
    """Yield what no archive of a release has: other members, links, hidden bytes, another order."""
    listed = archive.infolist()
    for name, count in Counter(each.orig_filename for each in listed).items():
        if name not in wanted:
            yield f"it holds {_shown(name)}, which does not belong there"
        elif count > 1:
            yield f"it holds {name} {count} times"
    for each in listed:
        if stat.S_IFMT(each.external_attr >> 16) not in {0, stat.S_IFREG}:
            yield f"{_shown(each.orig_filename)} in it is a link or a device instead of a file"
    told = sum(HEADS + 2 * len(each.orig_filename.encode()) + each.compress_size for each in listed) + END
    if told != size:
        yield f"it has {size} bytes where its files make {told}: something is hidden in it, or missing"


def _read(archive: zipfile.ZipFile, member: zipfile.ZipInfo, most: int) -> bytes | str:
    """Return the bytes of a member, or why it cannot be had."""
    if member.flag_bits & ENCRYPTED or member.compress_type not in METHODS:
        return "is locked with a password, or packed in an unusual way"
    try:
        with archive.open(member) as stream:
            data = stream.read(most + 1)
    except TORN as error:
        return f"cannot be unpacked: {_said(error)}"
    return data if len(data) <= most else "unpacks to much more than it needs to"


def _said(error: Exception) -> str:
    return plain(str(error).strip() or type(error).__name__)[:200]


def _shown(name: str) -> str:
    return f"`{plain(name)[:LONGEST_NAME]}`"
