"""Carries a plan of renames and merges out so that a dataset is never left half renamed.

Several files change together, and a run can end at any moment. So the plan is first written down whole in a
journal, then followed, then the journal goes. Whoever finds a journal can finish it: :func:`recover`.

A journal may come from a stranger, so it is inspected before it is followed: it may only touch entries, each
must still be as it was or already be as planned, and only names and references may differ between the two. An
entry may only go where another one says all that it warned of (:mod:`sporeproof.names.merge`), and its id must lead
there; nothing else of the ended ids may change.
"""

from __future__ import annotations

import json
import os
import re
from itertools import chain
from pathlib import Path
from typing import Any

from sporeproof.findings import Trouble
from sporeproof.form.load import Form
from sporeproof.names.merge import RETIRED
from sporeproof.names.planned import Plan, Step
from sporeproof.names.unions import unions
from sporeproof.records.read import TAXA
from sporeproof.tables.resolve import spelled
from sporeproof.text.files import fetch, replace
from sporeproof.text.read import plain, read_page

JOURNAL = "dataset/.names-apply.json"
SCHEMA = 1
ENTRY_FILE = re.compile(rf"{TAXA}/[^./\\\x00-\x1f][^/\\\x00-\x1f]*\.yaml")
ASIDE = re.compile(r"\.(.+)\.[a-z0-9_]{8}")  # as text/files names a file that is being written
MOST_BYTES = 1024 * 1024 * 1024
NAMING = {"name", "authorship", "former_names"}
REFERRING = ("confusions", "not_confused_with")


class NotApplied(Exception):
    """The renames were not made, or not finished; the message says why, and what to do."""


def unfinished(root: Path) -> Path | None:
    """Return the journal of renames that were begun and not finished, if there is one."""
    journal = root / JOURNAL
    return journal if os.path.lexists(journal) else None


def apply(plan: Plan, root: Path, form: Form | None = None) -> None:
    """Carry a plan out; raises :class:`NotApplied` where a file is no longer as it was planned with.

    A plan that merges entries needs the ``form``, by which the more dangerous verdict is known.
    """
    if unfinished(root):
        raise NotApplied(f"{JOURNAL} holds renames that were begun and not finished: finish them first.")
    if plan.steps:
        _inspect(plan.steps, root, "These renames are not made", form)
        _sweep(root / "dataset", {Path(JOURNAL).name})
        replace(root / JOURNAL, _noted(plan.steps))
        _settle(root / "dataset")
        _follow(plan.steps, root)


def recover(root: Path, form: Form | None = None) -> list[str]:
    """Finish renames that were begun, and return the files that they touch; none where nothing was left."""
    if not unfinished(root):
        return []
    steps = _steps(fetch(root / JOURNAL, root, most=MOST_BYTES))
    _inspect(steps, root, f"{JOURNAL} is not followed", form)
    _follow(steps, root)
    return [step.file or step.was for step in steps]


def _follow(steps: list[Step], root: Path) -> None:
    """Write what is new, then take away what was moved, then the journal: each may be done twice."""
    for step in steps:
        if step.file and _bytes_of(root / step.file, root) != step.after:
            replace(root / step.file, step.after)
    _settle(root / "dataset")
    _settle(root / TAXA)
    for step in steps:
        if step.was != step.file:
            (root / step.was).unlink(missing_ok=True)
    _settle(root / TAXA)
    _sweep(root / TAXA, {Path(step.file).name for step in steps})
    _sweep(root / "dataset", {Path(RETIRED).name})
    (root / JOURNAL).unlink(missing_ok=True)


def _sweep(folder: Path, names: set[str]) -> None:
    """Take away what a run that ended while writing some files left beside them."""
    for left in folder.iterdir():
        if (found := ASIDE.fullmatch(left.name)) and found[1] in names:
            left.unlink(missing_ok=True)


def _settle(folder: Path) -> None:
    """Have the disk note what was moved so far before anything later, where the system can."""
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        os.fsync(handle)
        os.close(handle)


def _noted(steps: list[Step]) -> bytes:
    noted = [
        {"was": each.was, "file": each.file, "before": each.before.decode(), "after": each.after.decode()}
        for each in steps
    ]
    return json.dumps({"schema": SCHEMA, "steps": noted}, indent=1).encode()


def _steps(found: bytes | Trouble) -> list[Step]:
    """Return the steps in a journal's bytes."""
    try:
        raw = json.loads(found if isinstance(found, bytes) else "")
        if raw["schema"] != SCHEMA:
            raise ValueError
        return [
            Step(each["was"], each["file"], each["before"].encode(), each["after"].encode()) for each in raw["steps"]
        ]
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise _unsafe(f"{JOURNAL} is not followed", "this program did not write it, or not like this") from None


def _unsafe(what: str, why: str) -> NotApplied:
    return NotApplied(
        f"{what}: {why}. Bring {TAXA} to one state, the one before the renames if in doubt, and delete "
        f"{JOURNAL} if it is there."
    )


def _inspect(steps: list[Step], root: Path, what: str, form: Form | None) -> None:
    """Raise unless following the steps can do nothing but rename, and merge where nothing that warns is lost."""
    if (root / TAXA).resolve() != root.resolve() / TAXA:
        raise _unsafe(what, f"{TAXA} leads elsewhere")
    files = list(chain.from_iterable({step.was, step.file} for step in steps))
    ended = [step for step in steps if step.was == step.file == RETIRED]
    for file in files:
        known = isinstance(file, str) and (ENTRY_FILE.fullmatch(file) or (file == RETIRED and ended) or not file)
        if not known or (file and files.count(file) > 1):
            raise _unsafe(what, f"`{file}` is not the file of one entry")
    for step in steps:
        if not step.was or not _stands_as_planned(step, root):
            raise _unsafe(what, f"{step.was} or {step.file} was changed meanwhile")
    kept = [step for step in steps if step.file and step not in ended]
    renamed = _renamed(kept)
    if len(kept) < len(steps):
        if form is None:
            raise _unsafe(what, "entries would be merged, and without the schema nobody knows whether they may be")
        found = unions(steps, form)
        if isinstance(found, str):
            raise _unsafe(what, found)
        has_gone = any(not step.file and _bytes_of(root / step.was, root) is None for step in steps)
        if has_gone and any(step.file and _bytes_of(root / step.file, root) != step.after for step in steps):
            raise _unsafe(what, "an entry has gone before what it leads to was written")
        renamed |= found
    for step in kept:
        if not _only_renames(_value(step.before), _value(step.after), renamed):
            raise _unsafe(what, f"more than names would change in {step.was}")


def _renamed(steps: list[Step]) -> dict[str, Any]:
    """Return by what an entry may have been referred to, and by which name it may be afterwards."""
    found: dict[str, Any] = {}
    for step in steps:
        new = _value(step.after).get("name")
        found |= {spelled(str(_value(step.before).get("name"))): new, Path(step.was).stem: new}
    return found


def _stands_as_planned(step: Step, root: Path) -> bool:
    """Tell whether a step is still to be done, half done, or done."""
    was = _bytes_of(root / step.was, root)
    if not step.file:
        return was in {step.before, None}
    now = _bytes_of(root / step.file, root)
    if step.was == step.file:
        return now in {step.before, step.after} or (now is None and not step.before)
    return (was, now) in {(step.before, None), (step.before, step.after), (None, step.after)}


def _bytes_of(path: Path, root: Path) -> bytes | None:
    """Return a file's bytes, None where nothing stands; what may not be read equals nothing planned."""
    if not os.path.lexists(path):
        return None
    found = fetch(path, root)
    return found if isinstance(found, bytes) else b""


def _value(data: bytes) -> dict[str, Any]:
    value = plain(read_page(data, "").root)
    return value if isinstance(value, dict) else {}


def _only_renames(before: dict[str, Any], after: dict[str, Any], renamed: dict[str, Any]) -> bool:
    """Tell whether all but names is the same, no name is lost, and references follow the renames only."""
    lost = _names(before) - _names(after)
    old, new = _references_out(before), _references_out(after)
    follow = all(a == b or renamed.get(spelled(str(a))) == b for a, b in zip(old, new, strict=False))
    rest = [{key: value for key, value in each.items() if key not in NAMING} for each in (before, after)]
    return bool(after) and not lost and len(old) == len(new) and follow and repr(rest[0]) == repr(rest[1])


def _names(value: dict[str, Any]) -> set[str]:
    former = value.get("former_names")
    given = [value.get("name"), *(former if isinstance(former, list) else [])]
    return {spelled(str(each.get("name") if isinstance(each, dict) else each)) for each in given}


def _references_out(value: dict[str, Any]) -> list[Any]:
    """Take the references out of a plain value, in their order."""
    members = value.pop("members", None)
    blocks = (value.get(block) for block in REFERRING)
    items = chain.from_iterable(block for block in blocks if isinstance(block, list))
    words = [each.pop("with", None) for each in items if isinstance(each, dict)]
    return [*words, *(members if isinstance(members, list) else [members])]
