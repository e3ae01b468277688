"""The manifest of an index: from what it was made, and where its tables are.

The tables stand in a folder of their own, and the manifest says which folder is in force. So a new index is written
beside the old one, and takes its place in one step: when the manifest is replaced.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path

from sporeproof.text.files import replace

FILE = "manifest.json"
SCHEMA = 1
UNDER_WAY, TABLES = ".under-way-", "tables-"


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
    """Return the manifest of an index; raises :class:`NoIndex`."""
    try:
        raw = json.loads((index / FILE).read_text("utf-8"))
        if raw.pop("schema") != SCHEMA:
            raise ValueError
        found = Manifest(**raw)
    except FileNotFoundError:
        raise NoIndex(
            f"{index} holds no index. Make one with `sporeproof names index FILE --output {index}`."
        ) from None
    except (ValueError, TypeError, KeyError, AttributeError, OSError):
        raise NoIndex(f"{index / FILE} cannot be read as the manifest of an index. Make the index again.") from None
    if not (index / found.folder).is_dir():
        raise NoIndex(f"{index} has lost its tables. Make the index again with `sporeproof names index`.")
    return found


@contextmanager
def under_way(index: Path) -> Iterator[Path]:
    """Give a folder to build an index in, and take away what is left of it, and of runs that were ended, after."""
    index.mkdir(parents=True, exist_ok=True)
    for left in index.glob(f"{UNDER_WAY}*"):
        shutil.rmtree(left, ignore_errors=True)
    folder = Path(tempfile.mkdtemp(prefix=UNDER_WAY, dir=index))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def put_in_force(index: Path, tables: Path, manifest: Manifest) -> None:
    """Move new tables into an index, let its manifest say so, and take the old ones away."""
    os.replace(tables, index / manifest.folder)
    replace(index / FILE, (json.dumps({"schema": SCHEMA, **asdict(manifest)}, indent=1) + "\n").encode())
    for old in index.glob(f"{TABLES}*"):
        if old.name != manifest.folder:
            shutil.rmtree(old, ignore_errors=True)


def folder_for(under_way_folder: Path, checksum: str) -> str:
    """Return the name that tables get in their index: never that of others, even of the same download."""
    return f"{TABLES}{checksum[:12]}-{under_way_folder.name.removeprefix(UNDER_WAY)}"
