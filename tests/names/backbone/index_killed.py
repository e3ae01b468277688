"""Ends `names index` with kill -9 at 20 of its moments, in processes of its own: ``index_killed.py FOLDER``.

A moment is a line about to be run in what unpacks, builds, writes and puts in force. One is drawn, with a fixed seed,
from each of 20 stretches of the run. Each gets an index of its own, ``FOLDER/<number>``, a copy of ``FOLDER/begun``,
over which ``FOLDER/new.zip`` is indexed. ``FOLDER/whole`` is the one that was not ended.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

# Loaded once; nothing is done with them before the processes part, so that each has threads of its own.
import duckdb  # noqa: F401
import numpy as np  # noqa: F401
import polars as pl  # noqa: F401

from sporeproof import indexed
from sporeproof.names.backbone import building, manifest
from sporeproof.names.download import unpacking
from sporeproof.text import files
from tests.names.killed import ended

WATCHED = {each.__file__ for each in (indexed, building, manifest, unpacking, files, tempfile, shutil)}


def main(folder: Path) -> None:
    """Index over copies of what was begun."""
    building.PART = 4  # several tables, so that a run can end between them
    ended(
        lambda index: indexed.names_index(folder / "new.zip", index),
        lambda name: Path(shutil.copytree(folder / "begun", folder / name)),
        WATCHED,
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
