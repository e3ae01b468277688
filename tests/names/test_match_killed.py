"""Whenever `names match` ends, the old answers or the new ones stand whole, and the next run finishes."""

import subprocess
import sys

import pytest

from sporeproof import indexed
from tests.conftest import ROOT
from tests.names.checklist import line_of, packed

ASKED = "scientificName\nFictum novum\nMendax ignotus\nFictum novum\nFictum falsum\nFictum novum\n"
PLACE = ("Fungi", "Basidiomycota", "Agaricomycetes", "Agaricales", "Fictaceae", "Fictum")


def test_the_old_answers_or_the_new_ones_stand_whenever_a_run_ends(tmp_path):
    indexed.names_index(packed(line_of(*PLACE, "Fictum novum"), tmp_path / "checklist.zip"), tmp_path / "index")
    (given := tmp_path / "given.csv").write_text(ASKED, "utf-8")
    (tmp_path / "scratch").mkdir()
    command = [sys.executable, "-m", "tests.names.match_killed", tmp_path]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 100
    whole = (tmp_path / "whole" / "out.csv").read_bytes()
    assert whole.count(b"\n") == ASKED.count("\n")
    seen, beside = set(), 0
    for number in range(20):
        folder = tmp_path / str(number)
        out = folder / "out.csv"
        assert out.read_bytes() in {b"old", whole}, number
        seen.add(out.read_bytes())
        beside += len(list(folder.iterdir())) > 1
        indexed.names_match(given, out, tmp_path / "index")
        assert out.read_bytes() == whole, number
        assert [each.name for each in folder.iterdir()] == ["out.csv"], number
    assert b"old" in seen
    assert beside, "or nothing was there to be swept"


def test_only_what_no_living_run_holds_is_swept(tmp_path):
    fcntl = pytest.importorskip("fcntl")
    indexed.names_index(packed(line_of(*PLACE, "Fictum novum"), tmp_path / "checklist.zip"), tmp_path / "index")
    (given := tmp_path / "given.csv").write_text(ASKED, "utf-8")
    (folder := tmp_path / "out").mkdir()
    names = {f".out.csv.under-way-{last}" for last in ("abcdefgh", "held0000")} | {".out.csv.original", "x.csv"}
    for each in names:
        (folder / each).write_bytes(b"")
    with (folder / ".out.csv.under-way-held0000").open("rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        indexed.names_match(given, folder / "out.csv", tmp_path / "index")
    assert {each.name for each in folder.iterdir()} == (names | {"out.csv"}) - {".out.csv.under-way-abcdefgh"}
