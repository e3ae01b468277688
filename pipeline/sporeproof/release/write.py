"""Puts a package into its folder whole or not at all: built aside, moved there, never changed afterwards."""

from __future__ import annotations

import errno
import os
import shutil
import stat
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from sporeproof.release.manifest import SIGNATURE
from sporeproof.release.refusals import ReleaseError
from sporeproof.text.files import replace

try:
    import fcntl
except ImportError:  # a system without file locks: what a killed run left behind is left to people
    fcntl = None  # type: ignore[assignment]

ASIDE = ".building-"
READABLE = 0o644
OPEN_FOLDER = 0o755


def write(files: Iterable[tuple[str, bytes]], folder: Path) -> bool:
    """Write the files, path and bytes of each, as a folder; return False where the same ones are there already.

    Raises :class:`ReleaseError` where the folder holds anything else, for a version is published once. What signs a
    release may stand beside its files.
    """
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        _clear(folder)
        if os.path.lexists(folder):
            _compare(files, folder)
            return False
        with _aside(folder) as aside:
            _fill(files, aside)
            if not _moved(aside, folder):
                _compare(((path, found.read_bytes()) for path, found in _files_of(aside) if found), folder)
                return False
        _sync(folder.parent)
    except OSError as error:
        raise ReleaseError(f"{error.filename or folder}: {error.strerror}. Mend this, then release again.") from error
    return True


def add_signature(signature: bytes, folder: Path) -> bool:
    """Put what signs a release beside its checksums, alone and whole; return False where it is there already.

    Raises :class:`ReleaseError` where it cannot be written. No other file is touched.
    """
    place = folder / SIGNATURE
    try:
        if place.is_file() and not place.is_symlink() and place.read_bytes() == signature:
            return False
        replace(place, signature)
    except OSError as error:
        raise ReleaseError(f"{error.filename or place}: {error.strerror}. Mend this, then sign again.") from error
    return True


def _moved(aside: Path, folder: Path) -> bool:
    """Move what was built into its place; tell whether it was free, for another run may have been quicker."""
    try:
        aside.rename(folder)
    except OSError as error:
        if error.errno not in {errno.ENOTEMPTY, errno.EEXIST}:
            raise
        return False
    return True


def _compare(files: Iterable[tuple[str, bytes]], folder: Path) -> None:
    """Raise where the folder is not exactly these files."""
    if folder.is_symlink() or not folder.is_dir():
        raise ReleaseError(f"{folder} is there, but is no folder of its own. Move it away, then release again.")
    there = dict(_files_of(folder))
    there.pop(SIGNATURE, None)
    differing = sorted(path for path, data in files if not _same(data, there.pop(path, None)))
    if differing := sorted([*differing, *there]):
        more = f" and {len(differing) - 1} more" if len(differing) > 1 else ""
        raise ReleaseError(
            f"{folder} is there already and differs in {differing[0]}{more}. A version is published once: "
            "give it with --previous, and this one gets the next number; or move it away, if nobody has it yet."
        )


def _same(data: bytes, path: Path | None) -> bool:
    return path is not None and path.stat().st_size == len(data) and path.read_bytes() == data


def _files_of(folder: Path) -> Iterator[tuple[str, Path | None]]:
    """Yield each file below a folder by its path; what is no plain file has nothing to compare."""
    for path in sorted(folder.rglob("*")):
        mode = path.lstat().st_mode
        if not stat.S_ISDIR(mode):
            yield path.relative_to(folder).as_posix(), path if stat.S_ISREG(mode) else None


@contextmanager
def _aside(folder: Path) -> Iterator[Path]:
    """Give a hidden folder beside the place, locked as long as this run lives, and gone afterwards."""
    aside = Path(tempfile.mkdtemp(prefix=f".{folder.name}{ASIDE}", dir=folder.parent))
    handle = _lock(aside)
    try:
        if handle is None and fcntl is not None:
            raise ReleaseError(f"Another run is writing {folder} at this moment. Let it end, then release again.")
        aside.chmod(OPEN_FOLDER)
        yield aside
    finally:
        shutil.rmtree(aside, ignore_errors=True)
        if handle is not None:
            os.close(handle)


def _fill(files: Iterable[tuple[str, bytes]], aside: Path) -> None:
    folders = {aside}
    for path, data in files:
        place = aside / path
        place.parent.mkdir(parents=True, exist_ok=True)
        folders.add(place.parent)
        with place.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        place.chmod(READABLE)
    for each in folders:
        _sync(each)


def _clear(folder: Path) -> None:
    """Take away what killed runs left; a folder that a living run holds is not touched."""
    for aside in folder.parent.glob(f".{folder.name}{ASIDE}*"):
        handle = _lock(aside)
        if handle is not None:
            shutil.rmtree(aside, ignore_errors=True)
            os.close(handle)


def _lock(aside: Path) -> int | None:
    """Return a handle that holds the folder until this run ends in any way; None if another one holds it."""
    if fcntl is None or aside.is_symlink() or not aside.is_dir():
        return None
    handle = os.open(aside, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle


def _sync(folder: Path) -> None:
    """Have the names in a folder reach the disk, where the system can."""
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
