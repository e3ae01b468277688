"""Ends `names match` with kill -9 at 20 of its moments, in processes of its own: ``match_killed.py FOLDER``.

A moment is a line about to be run in what matches and writes a file. One is drawn, with a fixed seed, from each of 20
stretches of the run. Each writes over ``FOLDER/<number>/out.csv``, which holds ``old``; ``FOLDER/whole`` is the one
that was not ended.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

# Loaded once; nothing is done with them before the processes part, so that each has threads of its own.
import duckdb  # noqa: F401
import numpy as np  # noqa: F401
import polars as pl  # noqa: F401

from sporeproof import indexed
from sporeproof.names import file_match, file_write
from tests.names.killed import ended

WATCHED = {each.__file__ for each in (indexed, file_match, file_write, tempfile)}


def main(folder: Path) -> None:
    """Match over old answers."""
    file_match.ROWS = 2  # several portions, so that a run can end between them
    tempfile.tempdir = str(folder / "scratch")  # what the system clears away by itself

    def ready(name: str) -> Path:
        (folder / name).mkdir()
        (out := folder / name / "out.csv").write_bytes(b"old")
        return out

    ended(lambda out: indexed.names_match(folder / "given.csv", out, folder / "index"), ready, WATCHED)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
