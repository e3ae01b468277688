"""Writes answered rows to their place, table by table, whole or not at all; what stood there stays until then."""

from __future__ import annotations

import errno
import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

# The delimiter by the end of the file's name, which says which format is meant; Parquet has none.
TO = {".csv": ",", ".tsv": "\t", ".parquet": ""}
# What this module calls files it has not finished; no other is ever taken away.
UNDER_WAY = ".under-way-"


class NotMatched(Exception):
    """The file was not matched; the message says why and what to do."""


def is_text(to: Path) -> bool:
    """Tell whether a place is written as text."""
    return bool(TO[to.suffix.lower()])


def meet_place(to: Path, source: Path) -> None:
    """Raise :class:`NotMatched` where answers on ``source`` cannot be written to the place that was named."""
    if to.suffix.lower() not in TO:
        raise NotMatched(f"{to}: write to a file that ends in {', '.join(TO)}; that says which format is meant.")
    if not to.parent.is_dir():
        raise NotMatched(f"{to}: there is no folder {to.parent}. Make it first, or name another place.")
    if to.is_dir():
        raise NotMatched(f"{to}: this is a folder. Name a file for the answers.")
    if to.resolve() == source.resolve():
        raise NotMatched(f"{to}: the names are read from it, so it stays as it is. Name another place for the answers.")


@contextmanager
def beside(to: Path) -> Iterator[Path]:
    """Give a file to write in; it comes to its place when the block ends well, and goes when it does not."""
    with _told_of(to):
        _sweep(to)
        handle, name = tempfile.mkstemp(prefix=f".{to.name}{UNDER_WAY}", dir=to.parent)
    aside = Path(name)
    # Held while this run lives, so that another one does not sweep it; where nothing can be held, nothing is swept.
    if not (is_held := _is_held(handle)):
        os.close(handle)
    try:
        yield aside
        with _told_of(to):
            aside.chmod(to.stat().st_mode if to.exists() else 0o644)
            os.replace(aside, to)
    finally:
        aside.unlink(missing_ok=True)
        if is_held:
            os.close(handle)


def _sweep(to: Path) -> None:
    """Take away what runs that were ended left beside a file; what a living run holds stays."""
    left = re.compile(re.escape(f".{to.name}{UNDER_WAY}") + "[a-z0-9_]{8}")
    for each in to.parent.iterdir():
        if left.fullmatch(each.name) and each.is_file() and not each.is_symlink():
            with suppress(OSError), each.open("rb") as file:
                if _is_held(file.fileno()):
                    each.unlink()


def _is_held(handle: int) -> bool:
    """Hold an open file for this run alone, where the system can; it lets go however the run ends."""
    try:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (ImportError, OSError):
        return False
    return True


@contextmanager
def _told_of(to: Path) -> Iterator[None]:
    """Say of which file it is that it cannot be written, and whether its disk is full."""
    try:
        yield
    except OSError as error:
        said = error.strerror or str(error)
        if error.errno in {errno.ENOSPC, errno.EDQUOT} or "no space left" in said.lower():
            said = "its disk is full. What stood there stays; make room and run this again"
        raise NotMatched(f"{to}: it cannot be written: {said}.") from error


def write(tables: Iterator[Any], aside: Path, to: Path) -> None:
    """Write tables one after the other as the format that the place's name says."""
    with _told_of(to), aside.open("wb") as file:
        if delimiter := TO[to.suffix.lower()]:
            _write_text(tables, file, delimiter)
        else:
            _write_parquet(tables, file)
        file.flush()
        os.fsync(file.fileno())


def _write_text(tables: Iterator[Any], file: Any, delimiter: str) -> None:
    import polars as pl

    for number, table in enumerate(tables):
        pl.DataFrame(table).write_csv(file, include_header=number == 0, separator=delimiter)


def _write_parquet(tables: Iterator[Any], file: Any) -> None:
    import pyarrow.parquet as pq  # type: ignore[import-untyped]

    writer = None
    for table in tables:
        writer = writer or pq.ParquetWriter(file, table.schema, compression="zstd")
        writer.write_table(table)
    if writer:
        writer.close()
