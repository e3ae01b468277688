"""Ends a refresh with kill -9 at 20 of its moments, in processes of its own: ``refresh_killed.py FOLDER``.

A moment is a line about to be run in what asks, keeps and writes. One is drawn, with a fixed seed, from each of 20
stretches of the run. Each gets a dataset of its own, ``FOLDER/<number>``, a copy of ``FOLDER/begun``; how many names
were asked until its end is written to ``FOLDER/asked.json``. ``FOLDER/whole`` is the one that was not ended.
"""

from __future__ import annotations

import json
import shutil
import sys
import tempfile
from datetime import timedelta
from pathlib import Path

import pygbif.species  # noqa: F401  # once, and not in each process
import pytest

from sporeproof import naming
from sporeproof.form.load import load_form
from sporeproof.names import live, refresh_journal, refreshing
from sporeproof.names.answers import Answer
from sporeproof.tables.resolve import stem_of
from sporeproof.text import files
from tests.conftest import ROOT
from tests.names.invented import lay
from tests.names.killed import ended
from tests.names.service import Hands, Stub, accepted, lead, serving, synonym

CHECKLIST = "00000000-0000-0000-0000-000000000001"
EPITHETS = [
    "album",
    "bonum",
    "crudum",
    "durum",
    "equinum",
    "foetidum",
    "gracile",
    "hirtum",
    "infidum",
    "laetum",
    "mirum",
    "novellum",
]
NAMES = len(EPITHETS)
TIMES = 20
WATCHED = {each.__file__ for each in (naming, live, refresh_journal, refreshing, files, tempfile)}
LONG_AGO = "2020-01-01"
OLD_ANSWERS = [
    Answer("Fictum album", "", "current", "Fictum album", obtained="registry-taxonomy", usage_key="7"),
    Answer(
        "Fictum bonum", "", "unknown", "", obtained="live", checklist_key=CHECKLIST, checked_on=LONG_AGO,
        asked_rank="SPECIES",
    ),
    Answer("Fictum zonatum", "", "unknown", "", obtained="live", checklist_key=CHECKLIST, checked_on=LONG_AGO),
]  # fmt: skip


def names() -> list[str]:
    """Return the names of the dataset, all invented."""
    return [f"Fictum {epithet}" for epithet in EPITHETS]


def laid(root: Path) -> Path:
    """Write the dataset."""
    entries = {
        stem_of(name): f"id: F90{at:02}\nname: {name}\nrank: species\nedibility: {{verdict: deadly}}\n"
        for at, name in enumerate(names())
    }
    return lay(root, entries, OLD_ANSWERS)


def knowing(stub: Stub) -> None:
    """Teach the server the names: every third is a synonym, the last is not known."""
    for at, name in enumerate(names()[:-1]):
        new = name.replace("Fictum", "Mendax")
        stub.replies[name] = [synonym(f"S{at}", name, f"A{at}", new) if at % 3 == 0 else accepted(f"A{at}", name)]
        stub.replies.setdefault(f"A{at}", [accepted(f"A{at}", new)])


def refresh(root: Path) -> naming.NamesRefreshed:
    """Refresh the names of a dataset."""
    return naming.names_refresh(root, checklist=CHECKLIST, max_age=timedelta(days=90), clock=Hands().clock())


def main(folder: Path) -> None:
    """Refresh copies of what was begun; note how many names each run asked before it ended."""
    asked = []
    with serving() as stub, pytest.MonkeyPatch.context() as patch:
        form = load_form(ROOT / "schema")
        patch.setattr(naming, "schema_of", lambda _: form)  # read once, and not in each run
        lead(patch, stub)
        knowing(stub)

        def ready(name: str) -> Path:
            asked.append(len(stub.names))
            stub.asked.clear()
            return Path(shutil.copytree(folder / "begun", folder / name))

        ended(refresh, ready, WATCHED)
        asked.append(len(stub.names))
    # The first count is from before the whole run, the second is its own.
    (folder / "asked.json").write_text(json.dumps(asked[2:]), "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
