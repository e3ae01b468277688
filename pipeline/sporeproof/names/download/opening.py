"""Opens a downloaded file of names, whoever made it: looks inside, unpacks it safely, says how it is laid out.

What a file is called decides nothing. Nothing is written outside the folder given for it.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from sporeproof.findings import plain
from sporeproof.names.download.archives import Packed, packed_folder, packed_zip
from sporeproof.names.download.foreign import foreign
from sporeproof.names.download.layout import (
    COLDP,
    DELIMITED,
    DWCA,
    GBIF_SIMPLE,
    MOST_COLUMNS,
    PARQUET,
    Layout,
    laid_out,
    too_wide,
)
from sporeproof.names.download.looking import Text, looked_through
from sporeproof.names.download.unpacking import GZIP, Given, Progress, Unopened, gunzipped, room_for, silent, too_large

__all__ = ["ALL_KINDS", "Sheet", "Unopened", "opened"]

ALL_KINDS = frozenset({GBIF_SIMPLE, DWCA, COLDP, DELIMITED, PARQUET})
SAID = {
    GBIF_SIMPLE: "the simple backbone file",
    DWCA: "a Darwin Core Archive",
    COLDP: "a ColDP archive",
    DELIMITED: "a CSV or TSV table",
    PARQUET: "a Parquet file",
}
ZIP = (b"PK\x03\x04", b"PK\x05\x06")
PARQUET_MAGIC = b"PAR1"
MAGIC_BYTES = 512


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table of text, unpacked and looked through; for Parquet only the names of its columns were looked at."""

    kind: str
    """gbif-simple, dwca, coldp, delimited or parquet."""
    path: Path
    """A plain file: the unpacked copy, or the file itself where it was plain already."""
    delimiter: str
    """Tab, comma, semicolon or vertical bar; empty for Parquet."""
    quote: str
    """A double quotation mark, or empty where it is a letter like any other."""
    columns: tuple[str, ...]
    """In their order, cut to the term; no two are the same but for capitals."""
    has_header: bool
    null: str
    escaped: bool
    """Whether a backslash escapes what follows, as in the text of Postgres COPY."""
    rows: int
    """Rows of data; -1 for Parquet."""
    checksum: str
    """SHA-256 in hex of the file as given; of the table where a folder was given. ``size`` likewise, in bytes."""
    size: int
    release: str
    """What the archive says of itself, empty where it says nothing. ``title`` likewise."""
    title: str
    defaults: tuple[tuple[str, str], ...] = ()
    """Term and value for cells that are empty or have no column, as a Darwin Core Archive may give them."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What the caller asked for besides the file; see :func:`opened`."""

    folder: Path
    wanted: frozenset[str]
    most_bytes: int
    progress: Progress


def opened(
    path: Path,
    folder: Path,
    *,
    wanted: frozenset[str] = ALL_KINDS,
    most_bytes: int = 64 * 2**30,
    progress: Progress = silent,
) -> Sheet:
    """Return the table in a file; raises :class:`Unopened` with a message that begins with the file's name.

    Unpacked text is written below ``folder``, which is there already and which the caller takes away.
    ``most_bytes`` is the most that is unpacked.
    """
    try:
        return _opened(path, Wish(folder, wanted, most_bytes, progress))
    except Unopened as error:
        raise Unopened(f"{plain(str(path))}: {error}") from None
    except OSError as error:
        raise Unopened(f"{plain(str(path))}: it cannot be read; the system says: {error.strerror or error}.") from None


def _opened(path: Path, wish: Wish) -> Sheet:
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        raise Unopened("there is no such file. Give the path of the downloaded file.") from None
    archive = packed_folder(path) if stat.S_ISDIR(mode) else None
    if archive:
        path = path / archive.member.name
    elif not stat.S_ISREG(mode):
        raise Unopened("it is a device or a pipe, which cannot be read twice. Save it as a file first.")
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags), "rb") as file:
        before = os.fstat(file.fileno())
        sheet = _sheet(Given(file, before.st_size), path, archive, wish)
        after = os.fstat(file.fileno())
        if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
            raise Unopened("it was changed while it was read. Open it again when nothing else writes to it.")
        return sheet


def _sheet(given: Given, path: Path, archive: Packed | None, wish: Wish) -> Sheet:
    """Return the sheet of an open file, by what its first bytes say."""
    magic = given.file.read(MAGIC_BYTES)
    given.file.seek(0)
    if not magic:
        raise Unopened("it is empty. Download it again.")
    if archive is None and magic.startswith(PARQUET_MAGIC):
        return _parquet(given, path, wish)
    if archive is None and magic.startswith(ZIP):
        return _from_zip(given, wish)
    laid_out = _laying(archive, wish)
    if archive is None and magic.startswith(GZIP):
        return _from_text(Text(gunzipped(given), lambda: given.taken, given.size, laid_out), archive, given, wish)
    if reason := foreign(magic, inside=False):
        raise Unopened(reason)
    return _from_text(Text(given.blocks(), lambda: given.taken, given.size, laid_out, path), archive, given, wish)


def _from_zip(given: Given, wish: Wish) -> Sheet:
    """Return the sheet of the table in a ZIP archive; the checksum is of the archive itself."""
    archive = packed_zip(given.file)
    member = archive.member
    if member.size > wish.most_bytes:
        raise too_large(wish.most_bytes)
    room_for(member.size, wish.folder)
    text = Text(member.blocks(), lambda: member.packed, member.packed, _laying(archive, wish), size=member.size)
    return _from_text(text, archive, given, wish)


def _laying(archive: Packed | None, wish: Wish) -> Callable[[str], Layout]:
    """Return what lays out the first lines, and refuses there and then what the caller cannot use."""

    def laid(sample: str) -> Layout:
        layout = archive.laid_out(sample) if archive else laid_out(sample)
        _meet_wish(kind := (archive and archive.kind) or layout.kind, wish)
        return replace(layout, kind=kind)

    return laid


def _meet_wish(kind: str, wish: Wish) -> None:
    if kind not in wish.wanted:
        known = " or ".join(SAID[each] for each in SAID if each in wish.wanted)
        raise Unopened(f"it is {SAID[kind]}, and {known} is needed here.")


def _parquet(given: Given, path: Path, wish: Wish) -> Sheet:
    """Return the sheet of a Parquet file; what is in it is read by others."""
    _meet_wish(PARQUET, wish)
    import polars as pl

    given.file.seek(-len(PARQUET_MAGIC), os.SEEK_END)
    is_whole = given.file.read() == PARQUET_MAGIC and given.size > 2 * len(PARQUET_MAGIC)
    given.file.seek(0)
    try:
        columns = tuple(pl.read_parquet_schema(given.file)) if is_whole else ()
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, OSError, ValueError):
        is_whole = False
    if not is_whole:
        raise Unopened("it begins as a Parquet file and does not go on as one: it was cut. Download it again.")
    if len(columns) > MOST_COLUMNS:
        raise too_wide()
    return Sheet(PARQUET, path, "", "", columns, False, "", False, -1, given.checksum(), given.size, "", "")


def _from_text(text: Text, archive: Packed | None, given: Given, wish: Wish) -> Sheet:
    seen = looked_through(text, wish.folder, wish.most_bytes, wish.progress)
    try:
        checksum = given.checksum()
    except BaseException:
        if seen.path != text.plain_at:
            seen.path.unlink(missing_ok=True)
        raise
    return Sheet(
        kind=seen.layout.kind,
        path=seen.path,
        delimiter=seen.layout.delimiter,
        quote=seen.layout.quote,
        columns=seen.layout.columns,
        has_header=seen.layout.has_header,
        null=seen.layout.null,
        escaped=seen.layout.escaped,
        rows=seen.rows,
        checksum=checksum,
        size=given.size,
        release=archive.release if archive else "",
        title=archive.title if archive else "",
        defaults=archive.defaults if archive else (),
    )
