"""The list of contents of a ZIP archive that a stranger may have made, looked at before anything in it is opened."""

from __future__ import annotations

import stat
import zipfile
from pathlib import Path
from typing import BinaryIO

from sporeproof.findings import plain
from sporeproof.release.refusals import ReleaseError

# Room for the names of more files than a release has.
MOST_LISTING = 32 * 1024 * 1024
LOCAL_HEAD = 30
ENCRYPTED = 0x1 | 0x40
METHODS = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})


class Listed:
    """A file that gives no more than so many bytes at once: a listing as long as a disk is not read."""

    def __init__(self, file: BinaryIO) -> None:
        self.file = file
        self.seek, self.tell, self.seekable = file.seek, file.tell, file.seekable

    def read(self, most: int = -1) -> bytes:
        """Return the next bytes; raises ``ValueError`` where too many are asked for at once."""
        if most > MOST_LISTING:
            raise ValueError("its list of contents is longer than that of any release")
        return self.file.read(most)


def sound_listing(archive: zipfile.ZipFile, place: Path) -> list[zipfile.ZipInfo]:
    """Return the files of an archive; raises :class:`ReleaseError` where one of them is not what it seems."""
    listed = archive.infolist()
    for each in listed:
        if wrong := _wrong(each):
            raise ReleaseError(f"{place}: {plain(each.orig_filename)[:200]} in it {wrong}. Nothing was unpacked.")
    ordered = sorted(listed, key=lambda each: each.header_offset)
    ends = [each.header_offset for each in ordered[1:]] + [archive.start_dir]
    for each, end in zip(ordered, ends, strict=True):
        if each.header_offset + LOCAL_HEAD + len(each.orig_filename.encode()) + each.compress_size > end:
            raise ReleaseError(
                f"{place}: {plain(each.orig_filename)[:200]} in it reaches into what comes after it, as in archives "
                "made to do harm. Nothing was unpacked."
            )
    return [each for each in listed if not each.is_dir()]


def _wrong(member: zipfile.ZipInfo) -> str:
    if stat.S_IFMT(member.external_attr >> 16) not in {0, stat.S_IFREG, stat.S_IFDIR}:
        return "is a link or a device instead of a file"
    if member.flag_bits & ENCRYPTED:
        return "is locked with a password"
    if member.compress_type not in METHODS:
        return "is packed in an unusual way"
    if member.is_dir() and member.file_size:
        return "is a folder that holds bytes of its own"
    return ""
