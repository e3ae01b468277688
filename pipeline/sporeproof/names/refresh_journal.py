"""Keeps each answer the moment it comes, so that a refresh that ends at any moment has lost nothing.

The journal stands beside the record, one JSON object a line, the first saying of which checklist it is. A line is
on the disk before the next name is asked; one that was cut short is not there. Whoever holds the file open holds
its lock, so that only one refresh is at work. In the end the answers go into the record and the journal goes.

A journal may come from a stranger, so only live answers of its own checklist are taken from it.
"""

from __future__ import annotations

import contextlib
import json
import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sporeproof.findings import Trouble
from sporeproof.names.answers import COLUMNS, MOST_ANSWERS, Answer
from sporeproof.text.files import fetch

JOURNAL = "dataset/.names-refresh.jsonl"
SCHEMA = 1
LIVE = "live"
WAY_OUT = f"If that run is of no use any more, delete {JOURNAL}; nothing else hangs on it."


class NotRefreshed(Exception):
    """The names were not asked, or the answers are not in the record yet; the message says why, and what to do."""


class Journal:
    """An open journal: the answers that an earlier run left in it, and a place for more."""

    def __init__(self, handle: int, path: Path, found: list[Answer]) -> None:
        self.found = found
        self._handle = handle
        self._path = path

    def note(self, answer: Answer) -> None:
        """Put an answer on the disk."""
        self._write(json.dumps({column: getattr(answer, column) for column in COLUMNS}))

    def begin(self, checklist: str) -> None:
        """Say in the first line of which checklist this is."""
        self._write(json.dumps(_head(checklist)))

    def _write(self, line: str) -> None:
        left = line.encode() + b"\n"
        try:
            while left:
                left = left[os.write(self._handle, left) :]
            os.fsync(self._handle)
        except OSError as error:
            raise NotRefreshed(
                f"{JOURNAL} cannot be written: {error.strerror}. What was answered before is kept there; mend that and "
                "run `sporeproof names refresh` again."
            ) from error

    def done(self) -> None:
        """Take the journal away: its answers are in the record."""
        settle(self._path.parent)
        self._path.unlink(missing_ok=True)


@contextlib.contextmanager
def opened(root: Path, checklist: str) -> Iterator[Journal]:
    """Yield the journal of a dataset, with the lock that comes with it; raises where it is not ours to write."""
    path = root / JOURNAL
    handle = _open(path)
    try:
        _lock(handle, path)
        with open(handle, "rb", buffering=0, closefd=False) as file:
            data = file.read(MOST_ANSWERS + 1)
        whole = data[: data.rfind(b"\n") + 1]
        found = answers_in(whole, checklist) if whole else _none_in(data, checklist)
        os.ftruncate(handle, len(whole))
        os.lseek(handle, 0, os.SEEK_END)
        journal = Journal(handle, path, found)
        if not whole:
            journal.begin(checklist)
        yield journal
    finally:
        os.close(handle)


def left_behind(root: Path, checklist: str) -> list[Answer]:
    """Return the answers that an earlier run left, and change nothing."""
    if not os.path.lexists(root / JOURNAL):
        return []
    data = fetch(root / JOURNAL, root, most=MOST_ANSWERS)
    if isinstance(data, Trouble):
        raise NotRefreshed(_refused(f"the file {data.words[0]}"))
    whole = data[: data.rfind(b"\n") + 1]
    return answers_in(whole, checklist) if whole else _none_in(data, checklist)


def answers_in(data: bytes, checklist: str) -> list[Answer]:
    """Return the answers in a journal's whole lines; raises where it is foreign or of another checklist."""
    if len(data) > MOST_ANSWERS:
        raise NotRefreshed(_refused("it is too long"))
    head, *lines = data.splitlines()
    said = _object(head)
    if set(said) != set(_head("")) or said["schema"] != SCHEMA:
        raise NotRefreshed(_refused("this program did not write it, or not like this"))
    if said["checklist"] != checklist:
        raise NotRefreshed(
            f"{JOURNAL} holds what an earlier run was answered from the checklist {said['checklist']}. Finish that "
            f"first: `sporeproof names refresh --checklist {said['checklist']}`. {WAY_OUT}"
        )
    return [_answer(_object(line), checklist) for line in lines]


def _none_in(data: bytes, checklist: str) -> list[Answer]:
    """A first line that was cut short is the beginning of ours, or the file is foreign."""
    if not json.dumps(_head(checklist)).encode().startswith(data):
        raise NotRefreshed(_refused("this program did not write it, or not like this"))
    return []


def _head(checklist: str) -> dict[str, Any]:
    return {"schema": SCHEMA, "checklist": checklist}


def _answer(said: dict[str, Any], checklist: str) -> Answer:
    """Return one answer of a line; raises unless it is a live one of that checklist, in all its columns."""
    wrong = set(said) != set(COLUMNS) or not all(isinstance(each, str) for each in said.values())
    if wrong or said["obtained"] != LIVE or said["checklist_key"] != checklist or not said["name"]:
        raise NotRefreshed(_refused("this program did not write it, or not like this"))
    return Answer(**said)


def _object(line: bytes) -> dict[str, Any]:
    try:
        said = json.loads(line)
    except (ValueError, RecursionError):
        said = None
    if not isinstance(said, dict):
        raise NotRefreshed(_refused("this program did not write it, or not like this"))
    return said


def _refused(why: str) -> str:
    return f"{JOURNAL} is not followed: {why}. {WAY_OUT}"


def _open(path: Path) -> int:
    """Return a handle on a plain file; a link, a pipe or a folder in its place is refused."""
    only = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT | only, 0o644)
    except OSError as error:
        raise NotRefreshed(
            f"{JOURNAL} cannot be opened: {error.strerror}. Answers are kept there until they are in the record: see "
            "that its folder is there and can be written, and that nothing else bears its name."
        ) from error
    if stat.S_ISREG(os.fstat(handle).st_mode):
        return handle
    os.close(handle)
    raise NotRefreshed(_refused("it is no plain file"))


def _lock(handle: int, path: Path) -> None:
    """Hold the journal for this run alone, where the system can; the system lets go of it however the run ends."""
    try:
        import fcntl
    except ImportError:
        return
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        is_there = os.fstat(handle).st_ino == path.stat().st_ino
    except OSError:
        is_there = False
    if not is_there:
        raise NotRefreshed("Another `sporeproof names refresh` is at work on this dataset. Wait until it is done.")


def settle(folder: Path) -> None:
    """Have the disk note what was moved so far before anything later, where the system can."""
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        os.fsync(handle)
        os.close(handle)
