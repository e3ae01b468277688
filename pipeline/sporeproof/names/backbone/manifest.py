"""The manifest of an index: from what it was made, and where its tables are.

The tables stand in a folder of their own, and the manifest says which folder is in force. So a new index is written
beside the old one, and takes its place in one step: when the manifest is replaced.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from sporeproof.text.files import replace

FILE = "manifest.json"
SCHEMA = 1
UNDER_WAY, TABLES = ".under-way-", "tables-"
# What this module calls folders of tables; nothing else is ever taken away.
FOLDER = re.compile(rf"{TABLES}[0-9a-f]{{12}}-[a-z0-9_]{{8}}")
LONGEST = 1 << 20


class NoIndex(Exception):
    """There is no index, or it cannot be used; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an index was made from: the download's own words, its kind, size in bytes, SHA-256, and the rows."""

    title: str
    release: str
    kind: str
    source: str
    checksum: str
    size: int
    usages: int
    higher: int
    folder: str
    made_on: str


def manifest_of(index: Path) -> Manifest:
    """Return the manifest of an index whose tables are all there; raises :class:`NoIndex`."""
    if not (index / FILE).exists():
        raise NoIndex(f"{index} holds no index. Make one with `sporeproof names index FILE --output {index}`.")
    found = _read(index)
    if found is None:
        raise NoIndex(f"{index / FILE} cannot be read as the manifest of an index. Make the index again.")
    if not _is_whole(index / found.folder, found):
        raise NoIndex(
            f"{index} has lost tables, or they are damaged. Make the index again with `sporeproof names index`."
        )
    return found


def _read(index: Path) -> Manifest | None:
    """Return the manifest of an index, None where there is none or it is not one of ours."""
    try:
        with (index / FILE).open(encoding="utf-8") as file:
            raw = json.loads(file.read(LONGEST))
        if raw.pop("schema") != SCHEMA:
            return None
        found = Manifest(**raw)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError, OSError):
        return None
    types = {"str": str, "int": int}
    sound = all(type(getattr(found, each.name)) is types[str(each.type)] for each in fields(found))
    return found if sound and FOLDER.fullmatch(found.folder) else None


def _is_whole(tables: Path, manifest: Manifest) -> bool:
    """Tell whether tables have the rows that a manifest speaks of."""
    counted = _rows(tables, "usages-*"), _rows(tables, "higher")
    return counted == (manifest.usages, manifest.higher) and _rows(tables, "firsts") >= 0


def _rows(folder: Path, name: str) -> int:
    """Return the rows that the ends of Parquet files tell of, -1 where one is missing or was cut."""
    import polars as pl

    try:
        files = sorted(folder.glob(f"{name}.parquet"))
        return int(pl.scan_parquet(files).select(pl.len()).collect().item()) if files else -1
    except (pl.exceptions.PolarsError, OSError):
        return -1


@contextmanager
def under_way(index: Path) -> Iterator[Path]:
    """Give a folder to build an index in, and take away what is left of it, and of runs that were ended.

    Raises :class:`NoIndex` where another run is at work there, or where a file of others would be overwritten.
    """
    index.mkdir(parents=True, exist_ok=True)
    with _held(index):
        if (index / FILE).exists() and _read(index) is None and not any(_tables(index)):
            raise NoIndex(
                f"{index / FILE} is not the manifest of an index, and it would be overwritten. Name another folder."
            )
        _sweep(index)
        folder = Path(tempfile.mkdtemp(prefix=UNDER_WAY, dir=index))
        try:
            yield folder
        finally:
            shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _held(index: Path) -> Iterator[None]:
    """Hold an index for this run alone, where the system can; the system lets go of it however the run ends."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(index, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise NoIndex(f"Another `sporeproof names index` is writing to {index}. Wait until it is done.") from None
        yield
    finally:
        os.close(handle)


def _tables(index: Path) -> list[Path]:
    return [each for each in index.glob(f"{TABLES}*") if FOLDER.fullmatch(each.name)]


def _sweep(index: Path) -> None:
    """Take away what ended runs left; where a manifest cannot be read, tables stay until there is a new one."""
    found = _read(index)
    left = [*index.glob(f"{UNDER_WAY}*")]
    if found or not (index / FILE).exists():
        left += [each for each in _tables(index) if not found or each.name != found.folder]
    for each in left:
        shutil.rmtree(each, ignore_errors=True)
    for each in index.glob(f".{FILE}.*"):
        each.unlink(missing_ok=True)


def put_in_force(index: Path, tables: Path, manifest: Manifest) -> None:
    """Move new tables into an index, let its manifest say so, and take the old ones away.

    Raises :class:`NoIndex` where they were not written whole.
    """
    if not _is_whole(tables, manifest):
        raise NoIndex(f"{index}: the new tables did not reach the disk whole, and the old ones stay. Run this again.")
    try:
        os.replace(tables, index / manifest.folder)
        replace(index / FILE, (json.dumps({"schema": SCHEMA, **asdict(manifest)}, indent=1) + "\n").encode())
    finally:
        _sweep(index)  # the old tables, or where the manifest could not be written, the new ones


def folder_for(under_way_folder: Path, checksum: str) -> str:
    """Return the name that tables get in their index: never that of others, even of the same download."""
    return f"{TABLES}{checksum[:12]}-{under_way_folder.name.removeprefix(UNDER_WAY)}"
