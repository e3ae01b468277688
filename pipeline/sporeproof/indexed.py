"""The order of the steps of the commands on a downloaded checklist: to index it, and to match a file against it."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sporeproof.checks.judge import Progress, silent
from sporeproof.names import refresh_journal, refreshing
from sporeproof.names.backbone import building, manifest
from sporeproof.names.backbone.ask import backbone
from sporeproof.names.backbone.columns import ColumnsMissing
from sporeproof.names.backbone.manifest import Manifest, NoIndex
from sporeproof.names.download.opening import Unopened, opened
from sporeproof.names.file_match import Counted, match_file
from sporeproof.names.file_write import NotMatched
from sporeproof.names.matching.asked import asked_all
from sporeproof.names.outcome import CURRENT
from sporeproof.names.spelling import spelling_of
from sporeproof.report.summary import counted
from sporeproof.run import Stopped, nothing_half_done, read_whole, schema_of, unread_files

CHECKLISTS = frozenset({"gbif-simple", "dwca", "coldp"})
# What the libraries call a full disk.
FULL = ("no space left", "not enough space", "disk quota", "max_temp_directory")
LITTLE_ROOM = 1 << 20
TABLES = frozenset({"delimited", "dwca", "parquet"})


@contextmanager
def told_plainly(what: str, index: Path | None = None) -> Iterator[None]:
    """Turn what may go wrong with files and disks into one sentence; ``index`` is one that is only read."""
    import duckdb
    import polars as pl

    try:
        yield
    except (Unopened, NoIndex, NotMatched, building.Unfit) as error:
        raise Stopped(str(error)) from error
    except ColumnsMissing as error:
        raise Stopped(f"{what}: it lacks the columns {error}, without which no name can be placed.") from error
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, duckdb.Error) as error:
        first = str(error).strip().split("\n")[0]
        told = f"{what}: its table cannot be read: {first}"
        if index and what not in str(error):
            told = (
                f"{what}: not matched, since {index} cannot be read: it is damaged, or was being replaced. Run this "
                f"again; if that does not help, make it again with `sporeproof names index`. ({first})"
            )
        raise Stopped(_disk_full(what, str(error)) or told) from error
    except OSError as error:
        said = f"{error.filename or what}: {error.strerror or error}."
        raise Stopped(_disk_full(what, str(error)) or said) from error


def _disk_full(what: str, said: str) -> str:
    """Return the sentence on a full disk, where that is what is meant."""
    if not any(word in said.lower() for word in FULL):
        return ""
    return f"{what}: the disk is full. Nothing was changed; make room and run this again."


@contextmanager
def _full_disk_told(folder: Path) -> Iterator[None]:
    """Call a full disk by its name: where the end of a table has no room, the library speaks of its format."""
    import polars as pl

    try:
        yield
    except pl.exceptions.PolarsError as error:
        if shutil.disk_usage(folder).free < LITTLE_ROOM:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)) from error
        raise


def names_index(file: Path, index: Path, progress: Progress = silent) -> list[str]:
    """Index a download; return what was done, in words. An index that is there stays until the new one is whole."""
    with told_plainly(f"{file}"), manifest.under_way(index) as folder:
        sheet = opened(file, folder, wanted=CHECKLISTS, progress=progress)
        tables = folder / "tables"
        tables.mkdir()
        try:
            with _full_disk_told(folder):
                counts = building.build(sheet, tables, progress)
        except building.Unfit as error:
            raise Stopped(f"{file}: {error}. Nothing is indexed; download it again, or ask who made it.") from error
        made = Manifest(
            title=sheet.title, release=sheet.release, kind=sheet.kind, source=file.name, checksum=sheet.checksum,
            size=sheet.size, usages=counts[building.USAGES], higher=counts[building.HIGHER],
            folder=manifest.folder_for(folder, sheet.checksum), made_on=datetime.now(UTC).date().isoformat(),
        )  # fmt: skip
        manifest.put_in_force(index, tables, made)
    return [
        f"{made.usages:,} usages indexed in {index}, with {made.higher:,} higher taxa.",
        f"From {made.source} ({made.kind}), SHA-256 {made.checksum}.",
        *([f"It calls itself {made.title} {made.release}."] if made.title or made.release else []),
    ]


@dataclass(frozen=True, slots=True)
class NamesMatched:
    """What became of the names of a file, in words, and the exit code: 0 where every name is current."""

    lines: list[str]
    exit_code: int


def names_match(
    file: Path, to: Path, index: Path, *, kingdom: str = "", strict: bool = False, progress: Progress = silent
) -> NamesMatched:
    """Match the names of a file against an index and write it with the answers."""
    if to.resolve() == file.resolve():
        raise Stopped(f"{to}: this is the file itself, which stays as it is. Name another place for the answers.")
    with (
        told_plainly(f"{file}", index),
        tempfile.TemporaryDirectory(prefix="sporeproof-") as folder,
        backbone(index) as held,
    ):
        sheet = opened(file, Path(folder), wanted=TABLES, progress=progress)
        found = match_file(held, sheet, to, kingdom=kingdom, strict=strict, progress=progress)
    return NamesMatched(list(_summed_up(found, to)), int(set(found.names) - {CURRENT} != set()))


def _summed_up(found: Counted, to: Path) -> Iterator[str]:
    rows, names = sum(found.rows.values()), sum(found.names.values())
    yield f"{counted(rows, 'row')}, {counted(names, 'name')}: {to}"
    for outcome in found.rows:
        yield f"  {found.rows[outcome]:>12,} rows  {found.names[outcome]:>12,} names  {outcome}"


def names_ask(root: Path, index: Path, checklist: str) -> list[str]:
    """Ask an index about every name of the dataset, record its answers, and return what came of it, in words.

    ``checklist`` is the word or key of the checklist that the index was made from, which no download tells.
    """
    try:
        key = refreshing.checklist_key(checklist)
        nothing_half_done(root)
        form = schema_of(root)
        dataset = read_whole(root, form)
        given = refreshing.names_of(dataset.entries)
        with told_plainly(f"{index}"), backbone(index) as held:
            due = [refreshing.Due(*each) for each in zip(given, asked_all(given), strict=True)]
            source = _source(held.manifest, key)
            terms = spelling_of(form.folder).terms
            matches = held.matches([each.asked for each in due])
            answers = [refreshing.answer_of(*pair, source, terms) for pair in zip(due, matches, strict=True)]
        refreshing.bring_in(answers, root, source.day)
    except (refresh_journal.NotRefreshed, ValueError) as error:
        raise Stopped(str(error)) from error
    unread = unread_files(dataset)
    return [
        *([f"Not read whole, so some names may be missing: {', '.join(unread)}."] if unread else []),
        f"{counted(len(answers), 'name')} answered by {source.title or 'a checklist'} ({key}), {source.release}.",
        *(f"  {count:>5}  {outcome}" for outcome, count in sorted(Counter(each.outcome for each in answers).items())),
    ]


def _source(made_from: Manifest, key: str) -> refreshing.Source:
    """Return whom the answers of an index come from; a download without a release is told by its checksum."""
    title = made_from.title or refreshing.TITLES.get(key, "")
    release = made_from.release or f"{made_from.source}, SHA-256 {made_from.checksum}"
    return refreshing.Source(refreshing.FROM_FILE, key, title, release, datetime.now(UTC).date().isoformat())
