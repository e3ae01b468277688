"""Takes bytes from a folder that strangers may have filled, and puts bytes there whole or not at all."""

from __future__ import annotations

import os
import stat
import tempfile
from functools import lru_cache
from pathlib import Path

from sporeproof.findings import Mark, Trouble
from sporeproof.text.read import MOST_BYTES


def fetch(path: Path, root: Path, most: int = MOST_BYTES) -> bytes | Trouble:
    """Return a file's bytes (at most ``most`` and one, so that too many are seen), or why it may not be read.

    Links, devices, pipes and whatever lies outside ``root`` are refused before they are opened.
    """
    name = name_of(path, root)
    if not _inside(path, root):
        return Trouble("outside", Mark(name), ("lies outside the dataset's folder",))
    try:
        found = path.lstat()
        if stat.S_ISLNK(found.st_mode):
            return Trouble("outside", Mark(name), ("is a link to another place",))
        if not stat.S_ISREG(found.st_mode):
            return Trouble("not-readable", Mark(name), ("it is a folder, a device or a pipe",))
        with os.fdopen(os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0)), "rb") as file:
            return file.read(most + 1)
    except OSError as error:
        return Trouble("not-readable", Mark(name), (f"the system says: {error.strerror}",))


def name_of(path: Path, root: Path) -> str:
    """Return the path as people see it: from the root, with forward slashes."""
    return path.relative_to(root).as_posix() if path.is_relative_to(root) else path.as_posix()


def _inside(path: Path, root: Path) -> bool:
    """No step of the way may be a link that leaves the root, and no ``..`` may climb out of it."""
    try:
        return _resolved(path.parent.absolute()).is_relative_to(_resolved(root.absolute()))
    except (OSError, RuntimeError):  # links that lead in a circle
        return False


@lru_cache(maxsize=64)
def _resolved(folder: Path) -> Path:
    """Follow the links of an absolute path, once: thousands of files stand in one folder."""
    return folder.resolve()


def replace(path: Path, data: bytes) -> None:
    """Write a file beside its place and move it there: a reader sees the old one or the new one."""
    handle, aside = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(aside, path.stat().st_mode if path.exists() else 0o644)
        os.replace(aside, path)
    except BaseException:
        Path(aside).unlink(missing_ok=True)
        raise
