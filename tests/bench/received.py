"""What it costs to judge a received release, beside reading it alone; and to look a name up in its Python package."""

from __future__ import annotations

import io
import json
import sqlite3
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import openpyxl
import polars as pl

LOOKUP = """
import sys, time
sys.path.insert(0, sys.argv[1])
start = time.perf_counter()
import sporeproof_data
str(sporeproof_data.find(sys.argv[2])[0].verdict)
print(time.perf_counter() - start)
"""


def verified(folder: Path) -> Iterator[tuple[str, float, float, str]]:
    """Yield what was compared, the seconds of ours and of the peer, and the bar."""
    from sporeproof import run
    from sporeproof.form.load import load_form
    from sporeproof.release.verify import verify
    from sporeproof.verifying import verify as verify_all

    form = load_form(run.PACKAGED_SCHEMA)
    verify(folder, form)  # the first use of a library pays for its import
    files = _timed(lambda: verify(folder, form))
    whole = _timed(lambda: verify_all(folder, None))
    bare, read = _timed(lambda: _bare(folder)), _timed(lambda: _read(folder))
    yield "verify, against reading the bytes and the SQL checks alone", whole, bare, "<= 2 x"
    yield "verify, against reading each file by the library of its format, and the SQL checks", whole, read, "<= 2 x"
    yield "verify without the rules and the proofs, against the same", files, read, "told"


def looked_up(folder: Path) -> float:
    """Return the shortest seconds of five new processes for the import and one lookup."""
    wheel = next((folder / "packages").glob("*.whl"))
    name = json.loads((folder / "json/taxa.json").read_bytes())["taxa"][0]["name"]
    with tempfile.TemporaryDirectory() as there:
        zipfile.ZipFile(wheel).extractall(there)
        words = [sys.executable, "-c", LOOKUP, there, name]
        subprocess.run(words, capture_output=True, check=True)  # Python keeps what it compiled, as after pip
        return min(float(subprocess.run(words, capture_output=True, check=True).stdout) for _ in range(5))


def _timed(act: Callable[[], object]) -> float:
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        act()
        best = min(best, time.perf_counter() - start)
    return best


def _bare(folder: Path) -> None:
    """Read every byte, and have SQLite check its own tables, keys and foreign keys."""
    for path in folder.rglob("*"):
        if path.is_file():
            path.read_bytes()
    with closing(sqlite3.connect(next(folder.glob("*.sqlite")))) as base:
        base.execute("PRAGMA integrity_check").fetchall()
        base.execute("PRAGMA foreign_key_check").fetchall()


def _read(folder: Path) -> None:
    """Read each file by the library of its format, and have SQLite check as before."""
    _bare(folder)
    for path in folder.rglob("*"):
        if path.suffix == ".csv":
            pl.read_csv(path, infer_schema=False)
        elif path.suffix == ".parquet":
            pl.read_parquet(path)
        elif path.suffix == ".json":
            json.loads(path.read_bytes())
        elif path.suffix == ".xlsx":
            for sheet in openpyxl.load_workbook(path, read_only=True):
                for _ in sheet.iter_rows(values_only=True):
                    pass
        elif path.suffix in {".zip", ".whl"}:
            with zipfile.ZipFile(path) as archive:
                for name in archive.namelist():
                    data = archive.read(name)
                    if name.endswith(".csv"):
                        pl.read_csv(io.BytesIO(data), infer_schema=False)
