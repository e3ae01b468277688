"""Finds the table of names in a ZIP archive or a folder that a stranger may have made."""

from __future__ import annotations

import os
import re
import stat
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import BinaryIO

from sporeproof.names.download.layout import COLDP, DWCA, Layout, laid_out
from sporeproof.names.download.meta import mapped, said_in_eml, said_in_yaml
from sporeproof.names.download.unpacking import BLOCK, Unopened, amount, excerpt

MOST_MEMBERS = 10_000
# Room for 10,000 members with names as long as they get in practice.
MOST_LISTING = 4 * 1024 * 1024
MOST_META = 1024 * 1024
LOCAL_HEADER = 30
ENCRYPTED = 0x1 | 0x40
METHODS = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
TABLE_ENDS = (".tsv", ".csv", ".txt")


@dataclass(frozen=True, slots=True)
class Member:
    """One file of an archive: its path there, unpacked and packed bytes, and how its bytes are had."""

    name: str
    size: int
    packed: int
    blocks: Callable[[], Iterator[bytes]]


@dataclass(frozen=True, slots=True)
class Packed:
    """The table of an archive, what lays out its first lines, and what the archive says of itself."""

    member: Member
    kind: str
    laid_out: Callable[[str], Layout]
    defaults: tuple[tuple[str, str], ...] = ()
    release: str = ""
    title: str = ""


class _Wary:
    """A file that gives no more than so many bytes at once: a listing as long as a disk is not read."""

    def __init__(self, file: BinaryIO) -> None:
        self.file = file
        self.seek, self.tell, self.seekable = file.seek, file.tell, file.seekable

    def read(self, most: int = -1) -> bytes:
        if most > MOST_LISTING:
            raise _too_many()
        return self.file.read(most)


def _too_many() -> Unopened:
    return Unopened(
        f"it holds more than {MOST_MEMBERS:,} files, as no archive of names does. Take it from its publisher."
    )


def packed_zip(file: BinaryIO) -> Packed:
    """Return the table in a ZIP archive; raises :class:`Unopened` where any part of it is not what it seems."""
    try:
        archive = zipfile.ZipFile(_Wary(file))
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, struct.error, IndexError):
        raise Unopened("its list of contents is cut or damaged. Download it again.") from None
    found = archive.infolist()
    if len(found) > MOST_MEMBERS:
        raise _too_many()
    for each in found:
        _meet_member(each)
    _meet_lies(found, archive.start_dir)
    files = [each for each in found if not each.is_dir()]
    return _table(
        [Member(each.filename, each.file_size, each.compress_size, _unzipped(archive, each)) for each in files]
    )


def _meet_member(each: zipfile.ZipInfo) -> None:
    name = each.orig_filename
    if not is_inside(name):
        raise Unopened(
            f"it holds a file called `{excerpt(name)}`, which would be written outside of its folder. Nothing was "
            "unpacked; take the archive from its publisher."
        )
    if stat.S_IFMT(each.external_attr >> 16) not in {0, stat.S_IFREG, stat.S_IFDIR}:
        raise Unopened(
            f"it holds `{excerpt(name)}`, which is a link or a device instead of a file. Nothing was unpacked; "
            "take the archive from its publisher."
        )
    if each.flag_bits & ENCRYPTED:
        raise Unopened("it is locked with a password. Unpack it with the password, then pack it again without.")


def is_inside(name: str) -> bool:
    """Tell whether a path in an archive stays below the place where it is unpacked, on any system."""
    if not name or "\0" in name or "\\" in name or name.startswith("/") or re.match(r"[A-Za-z]:", name):
        return False
    return ".." not in name.split("/")


def _meet_lies(found: list[zipfile.ZipInfo], end: int) -> None:
    """Raise where two members share bytes or a name: one of them is hidden in the other."""
    ordered = sorted(found, key=lambda each: each.header_offset)
    starts = [each.header_offset for each in ordered] + [end]
    for each, following in zip(ordered, starts[1:], strict=True):
        if each.header_offset + LOCAL_HEADER + each.compress_size > following:
            raise Unopened(
                f"`{excerpt(each.filename)}` reaches into what comes after it, as in archives made to do harm. "
                "Take the archive from its publisher."
            )
    name, count = Counter(each.filename for each in found).most_common(1)[0] if found else ("", 0)
    if count > 1:
        raise Unopened(f"it holds `{excerpt(name)}` {count} times, and it cannot be known which is meant.")


def _unzipped(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> Callable[[], Iterator[bytes]]:
    def blocks() -> Iterator[bytes]:
        if member.compress_type not in METHODS:
            raise Unopened(
                f"`{excerpt(member.filename)}` is packed by method {member.compress_type}, and only the usual ones "
                "(stored, deflate) are unpacked. Unpack it with another program and give the folder."
            )
        total = 0
        try:
            with archive.open(member) as stream:
                while block := stream.read(BLOCK):
                    total += len(block)
                    yield block
        except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, ValueError, struct.error):
            raise _damaged(member.filename) from None
        if total != member.file_size:
            raise _damaged(member.filename)

    return blocks


def _damaged(name: str) -> Unopened:
    return Unopened(f"`{excerpt(name)}` in it is cut or damaged: it does not fit its checksum. Download it again.")


def packed_folder(folder: Path) -> Packed:
    """Return the table in a folder that an archive was unpacked to; raises :class:`Unopened`."""
    with os.scandir(folder) as found:
        files: list[Member] = []
        for each in found:
            if len(files) >= MOST_MEMBERS:
                raise _too_many()
            if each.is_file(follow_symlinks=False):
                size = each.stat(follow_symlinks=False).st_size
                files.append(Member(each.name, size, size, _read(folder / each.name)))
    if not any(member.name.lower().endswith((".xml", *TABLE_ENDS)) for member in files):
        raise Unopened("it is a folder, not a file. Give the file itself, or a folder with an unpacked archive.")
    return _table(files)


def _read(path: Path) -> Callable[[], Iterator[bytes]]:
    def blocks() -> Iterator[bytes]:
        with path.open("rb") as file:
            while block := file.read(BLOCK):
                yield block

    return blocks


def _table(files: list[Member]) -> Packed:
    """Return the table among the files of an archive."""
    files = [each for each in files if not _is_litter(each.name)]
    base = _base(files)
    inside = {each.name.removeprefix(base).lower(): each for each in files if each.name.startswith(base)}
    if "meta.xml" in inside:
        return _dwca(inside, {each.name.removeprefix(base): each for each in files})
    usages = [each for name, each in inside.items() if name in {f"nameusage{end}" for end in TABLE_ENDS}]
    if len(usages) == 1:
        release, title = said_in_yaml(_small(inside.get("metadata.yaml")))
        return Packed(usages[0], COLDP, laid_out, (), release, title)
    tables = [each for name, each in inside.items() if name.endswith(TABLE_ENDS)]
    stems = {PurePosixPath(name).stem for name in inside}
    if {"name", "taxon"} <= stems:
        raise Unopened(
            "it keeps names, taxa and synonyms in files of their own. Download it with one NameUsage file instead: "
            "the extended ColDP."
        )
    if "[content_types].xml" in inside:
        raise Unopened("it is a spreadsheet. Save the sheet as CSV in UTF-8.")
    if len(tables) != 1:
        raise Unopened(
            "it holds " + (f"{len(tables)} tables" if tables else "no table") + " and no meta.xml or NameUsage file "
            "that says which one has the names. Give that one file."
        )
    core = PurePosixPath(tables[0].name.lower()).stem in {"taxon", "occurrence"}
    return Packed(tables[0], DWCA if core else "", laid_out)


def _is_litter(name: str) -> bool:
    return name.startswith("__MACOSX/") or PurePosixPath(name).name.startswith(".")


def _base(files: list[Member]) -> str:
    """Return the one folder that everything is in, with its slash; nothing where files lie at the top."""
    tops = {each.name.partition("/")[0] if "/" in each.name else "" for each in files}
    return f"{tops.pop()}/" if len(tops) == 1 and "" not in tops else ""


def _dwca(inside: dict[str, Member], exactly: dict[str, Member]) -> Packed:
    said = mapped(_small(inside["meta.xml"], "meta.xml"))
    if not is_inside(said.location):
        raise Unopened(f"meta.xml looks for the main table at `{excerpt(said.location)}`, outside the archive.")
    if said.location not in exactly:
        raise Unopened(
            f"meta.xml says that the main table is `{excerpt(said.location)}`, which the archive does not hold. "
            "Download it again."
        )
    release, title = said_in_eml(_small(exactly.get(said.about)))
    return Packed(exactly[said.location], DWCA, said.laid_out, tuple(said.defaults.items()), release, title)


def _small(member: Member | None, needed: str = "") -> bytes:
    """Return all bytes of a small file; nothing of one that is missing or too large, unless it is needed."""
    if member is None:
        return b""
    data = b""
    for block in member.blocks() if member.size <= MOST_META else ():
        data += block
        if len(data) > MOST_META:
            break
    if needed and not 0 < len(data) <= MOST_META:
        raise Unopened(f"{needed} is empty or larger than {amount(MOST_META)}. Take the archive from its publisher.")
    return data if len(data) <= MOST_META else b""
