"""Ends a run with kill -9 at 20 of its moments, in processes of its own: ``killed.py FOLDER STEP [merge]``.

A moment is a line about to be run, in the journal or in what writes files for it. One is drawn, with a fixed seed,
from each of 20 stretches of the run. ``STEP`` is apply or recover; each moment gets a dataset of its own,
``FOLDER/<number>``, a copy of ``FOLDER/begun``. With ``merge``, what is carried out is a person's choice by which one
entry goes into another.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import Any

from sporeproof.form.load import load_form
from sporeproof.names import journal
from sporeproof.text import files
from tests.conftest import ROOT
from tests.names.invented import plan_of
from tests.names.merging import merge_of

FORM = load_form(ROOT / "schema")
WATCHED = {journal.__file__, files.__file__, tempfile.__file__}
INSPECTION = {"_inspect", "_only_renames", "_value", "_names", "_references_out", "_stands_as_planned", "_renamed"}
TIMES = 20


def main(folder: Path, step: str, what: str = "") -> None:
    """Carry a plan out, or finish it, in copies of what was begun."""
    plan = merge_of(folder / "begun", FORM) if what else plan_of(folder / "begun", FORM)

    def act(root: Path) -> None:
        if step == "apply":
            journal.apply(plan, root, FORM)
        else:
            journal.recover(root, FORM)

    ended(act, lambda name: Path(shutil.copytree(folder / "begun", folder / name)), WATCHED)


def ended(act: Callable[[Path], object], ready: Callable[[str], Path], watched: set[str]) -> None:
    """Count the moments of a whole run, then end other runs at some of them; print how many there are.

    ``ready`` prepares what a run of a name acts on, ``watched`` are the files whose lines are moments.
    """
    told, tell = os.pipe()
    assert _run(act, ready("whole"), killer(None, tell, watched)) == 0
    moments = int(os.read(told, 20))
    draw = random.Random(20)
    for number in range(TIMES):
        low, high = number * moments // TIMES, (number + 1) * moments // TIMES
        status = _run(act, ready(str(number)), killer(draw.randrange(low, high), tell, watched))
        assert os.WIFSIGNALED(status)
        assert os.WTERMSIG(status) == signal.SIGKILL
    sys.stdout.write(str(moments))


def _run(act: Callable[[Path], object], on: Path, watch: Any) -> int:
    """Act in a process of its own; return how that ended."""
    child = os.fork()
    if not child:
        sys.settrace(watch)
        act(on)
        sys.settrace(None)
        watch(None, "end", None)
        os._exit(0)
    return os.waitpid(child, 0)[1]


def killer(moment: int | None, tell: int, watched: set[str]) -> Any:
    """Return what ends this process before the line of that number, or tells in the end how many there were."""
    done = 0

    def watch(frame: FrameType | None, event: str, _: Any) -> Any:
        nonlocal done
        if frame is None:
            os.write(tell, str(done).encode())
            return None
        if frame.f_code.co_filename not in watched or frame.f_code.co_name in INSPECTION:
            return None
        if event == "line":
            if done == moment:
                os.kill(os.getpid(), signal.SIGKILL)
            done += 1
        return watch

    return watch


if __name__ == "__main__":
    main(Path(sys.argv[1]), *sys.argv[2:])
