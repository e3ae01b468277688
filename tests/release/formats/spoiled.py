"""Archives of a release, spoiled in one way each, as a broken disk or an ill-meaning person would."""

from __future__ import annotations

import csv
import io
import stat
import zipfile
from collections.abc import Callable

Members = dict[str, bytes]
Row = list[str]


def members(data: bytes) -> Members:
    """Return the files in an archive, by name."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {each.filename: archive.read(each) for each in archive.infolist()}


def zipped(files: Members, method: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data, method)
    return out.getvalue()


def rows(data: bytes) -> list[Row]:
    return list(csv.reader(io.StringIO(data.decode(), newline="")))


def tables_of(data: bytes) -> dict[str, list[dict[str, str]]]:
    """Return the rows of each table by the names of its columns, as the library of Python reads CSV."""
    found = {}
    for name, content in members(data).items():
        if name.endswith(".csv"):
            head, *lines = rows(content)
            found[name.removesuffix(".csv")] = [dict(zip(head, line, strict=True)) for line in lines]
    return found


def written(lines: list[Row]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(lines)
    return out.getvalue().encode()


def with_rows(data: bytes, name: str, change: Callable[[list[Row]], object]) -> bytes:
    """Return the archive with the rows of one table changed in place; the head is the first row."""
    files = members(data)
    lines = rows(files[name])
    change(lines)
    return zipped(files | {name: written(lines)})


def flipped(lines: list[Row], column: str, number: int = 1) -> None:
    at = lines[0].index(column)
    lines[number][at] += " and harmless"


def swapped(data: bytes, one: str, other: str) -> bytes:
    files = members(data)
    return zipped(files | {one: files[other], other: files[one]})


def beside(data: bytes, name: str, content: bytes = b"") -> bytes:
    """Return the archive with one more member, whatever it is called."""
    return zipped(members(data) | {name: content})


def twice(data: bytes, name: str) -> bytes:
    out = io.BytesIO(zipped(members(data)))
    with zipfile.ZipFile(out, "a") as archive:
        renamed = zipfile.ZipInfo("x" * len(name), (1980, 1, 1, 0, 0, 0))
        archive.writestr(renamed, b"another")
    return out.getvalue().replace(b"x" * len(name), name.encode())


def linked(data: bytes, name: str) -> bytes:
    """Return the archive with one member as a symbolic link to a file of the system."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for each, content in members(data).items():
            info = zipfile.ZipInfo(each)
            info.create_system = 3
            info.external_attr = ((stat.S_IFLNK if each == name else stat.S_IFREG) | 0o644) << 16
            archive.writestr(info, b"/etc/passwd" if each == name else content)
    return out.getvalue()


def hidden(data: bytes) -> bytes:
    """Return the archive with bytes before it, which the usual programs do not show."""
    return b"#!/bin/sh\n" + data


def locked(data: bytes) -> bytes:
    """Return the archive with its first member marked as locked by a password."""
    spoilt = bytearray(data)
    spoilt[data.index(b"PK\x01\x02") + 8] |= 1
    return bytes(spoilt)


def damaged(data: bytes) -> bytes:
    """Return the archive with one bit of the packed bytes of its largest member turned."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        largest = max(archive.infolist(), key=lambda each: each.compress_size)
    spoilt = bytearray(data)
    spoilt[largest.header_offset + 30 + len(largest.filename) + largest.compress_size // 2] ^= 1
    return bytes(spoilt)


def bomb(data: bytes, name: str) -> bytes:
    """Return the archive with one member that unpacks to very much."""
    return zipped(members(data) | {name: bytes(64 << 20)})


HOSTILE: dict[str, tuple[Callable[[bytes, str], bytes], str]] = {
    "another member": (lambda data, _: beside(data, "run.sh", b"x"), "run.sh"),
    "a path that leads out": (lambda data, _: beside(data, "../../evil.csv", b"x"), "evil.csv"),
    "the same name twice": (twice, "2 times"),
    "a link": (linked, "link"),
    "bytes before it": (lambda data, _: hidden(data), "hidden"),
    "bytes behind it": (lambda data, _: data + b"PK", "hidden"),
    "a password": (lambda data, _: locked(data), "password"),
    "a damaged member": (lambda data, _: damaged(data), "cannot be unpacked"),
    "cut": (lambda data, _: data[: len(data) // 2], "cannot be read as a ZIP archive"),
    "no archive": (lambda _, __: b"PK\x05\x06", "cannot be read as a ZIP archive"),
    "empty": (lambda _, __: b"", "cannot be read as a ZIP archive"),
    "a bomb": (bomb, "unpacks to much more"),
    "far too large": (lambda data, _: data + bytes(16 << 20), "many more"),
}
