"""Ends `names match` with kill -9 at 20 of its moments, in processes of its own: ``match_killed.py FOLDER``.

A moment is a line about to be run in what matches and writes a file. One is drawn, with a fixed seed, from each of 20
stretches of the run. Each writes over ``FOLDER/<number>/out.csv``, which holds ``old``; ``FOLDER/whole`` is the one
that was not ended.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import tempfile
from pathlib import Path
from typing import Any

# Loaded once; nothing is done with them before the processes part, so that each has threads of its own.
import duckdb  # noqa: F401
import numpy as np  # noqa: F401
import polars as pl  # noqa: F401

from sporeproof import indexed
from sporeproof.names import file_match
from tests.names import killed

TIMES = 20


def main(folder: Path) -> None:
    """Count the moments of a whole run, then end other runs at some of them."""
    file_match.ROWS = 2  # several portions, so that a run can end between them
    killed.WATCHED = {each.__file__ for each in (indexed, file_match, tempfile)}
    tempfile.tempdir = str(folder / "scratch")  # what the system clears away by itself
    told, tell = os.pipe()
    assert _run(folder, "whole", killed.killer(None, tell)) == 0
    moments = int(os.read(told, 20))
    draw = random.Random(20)
    for number in range(TIMES):
        low, high = number * moments // TIMES, (number + 1) * moments // TIMES
        status = _run(folder, str(number), killed.killer(draw.randrange(low, high), tell))
        assert os.WIFSIGNALED(status)
        assert os.WTERMSIG(status) == signal.SIGKILL
    sys.stdout.write(str(moments))


def _run(folder: Path, name: str, watch: Any) -> int:
    """Match over old answers in a process of its own; return how that ended."""
    (folder / name).mkdir()
    (out := folder / name / "out.csv").write_bytes(b"old")
    child = os.fork()
    if not child:
        sys.settrace(watch)
        indexed.names_match(folder / "given.csv", out, folder / "index")
        sys.settrace(None)
        watch(None, "end", None)
        os._exit(0)
    return os.waitpid(child, 0)[1]


if __name__ == "__main__":
    main(Path(sys.argv[1]))
