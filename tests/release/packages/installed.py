"""The Python package of a release as it is after installing: unpacked, and imported under a name of its own."""

from __future__ import annotations

import importlib
import io
import itertools
import json
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

from sporeproof.release.content import Content
from sporeproof.release.formats.to_wheel import path_of, to_wheel

PACKAGE = "sporeproof_data"
COUNT = itertools.count()


def wheel_of(content: Content) -> bytes:
    return to_wheel(content)[path_of(content)]


def imported(content: Content, folder: Path, spoil: Callable[[Path], object] = lambda _: None) -> ModuleType:
    """Return the package with the data of a content; ``spoil`` gets the folder of its records before the import.

    Each has a name of its own, so that several can be there at once; none of them is found by ``sporeproof_data``.
    """
    name = f"installed_{next(COUNT)}"
    with zipfile.ZipFile(io.BytesIO(wheel_of(content))) as archive:
        archive.extractall(folder / name)
    (folder / name / PACKAGE).rename(folder / name / name)
    spoil(folder / name / name / "records")
    sys.path.insert(0, str(folder / name))
    try:
        importlib.invalidate_caches()
        return importlib.import_module(name)
    finally:
        sys.path.remove(str(folder / name))


def changed(file: str, change: Callable[[Any], object]) -> Callable[[Path], None]:
    """Return what changes one file of the records in place."""

    def spoil(records: Path) -> None:
        found = json.loads((records / file).read_text("utf-8"))
        change(found)
        (records / file).write_text(json.dumps(found), "utf-8")

    return spoil


def replaced(file: str, old: bytes, new: bytes) -> Callable[[Path], None]:
    """Return what replaces a text in one file of the records."""

    def spoil(records: Path) -> None:
        text = (records / file).read_bytes()
        assert old in text
        (records / file).write_bytes(text.replace(old, new))

    return spoil
