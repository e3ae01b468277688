"""What was written against an earlier release still runs on the next one of the same major version.

``readers/`` keeps the program and the release that it was written for, both as they were.
"""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.release.edition import published

READERS = Path(__file__).parent / "readers"
FIRST = "fernhollow-data-0.1.0"


def read_by(program: str, folder: Path) -> dict:
    done = subprocess.run([sys.executable, READERS / program, folder], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture(scope="module")
def first(tmp_path_factory) -> Path:
    """The release of 0.1.0, before there was any format but CSV and Parquet."""
    folder = tmp_path_factory.mktemp("kept")
    with zipfile.ZipFile(READERS / f"{FIRST}.zip") as archive:
        archive.extractall(folder)
    return folder / FIRST


@pytest.fixture(scope="module")
def old(first) -> dict:
    return read_by("reader_0_1.py", first)


def test_the_same_dataset_reads_the_same_in_the_next_release(form, first, old, tmp_path):
    after = published(form, tmp_path, previous=first)
    assert after.version.startswith("0."), after.because
    assert read_by("reader_0_1.py", after.folder) == old
    assert old["Fictum commune"]["confusions"] == ["F9002"]
    assert old["sizes"] == [["F9001", "cap-width", 30.0, 70.0, "mm"]]


def test_what_got_stricter_reaches_the_old_program(form, first, old, tmp_path):
    def change(e):
        e.entries["F9005"]["edibility"] = {
            "verdict": "poisonous",
            "opinions": [{"verdict": "poisonous", "source": "common-practice"}],
        }
        e.retire("F9004", consider=["F9002"])

    after = published(form, tmp_path, change, first)
    found = read_by("reader_0_1.py", after.folder)
    assert after.version.startswith("0.")
    assert (old["Fictum bonum"]["verdict"], found["Fictum bonum"]["verdict"]) == ("edible", "poisonous")
    assert found["ended"] == {"F9004": "F9002"}


def test_the_program_stops_at_another_major_version(first, tmp_path):
    """So that it can fail: a release of version 1 is not read as one of version 0."""
    copy = tmp_path / "copy"
    copy.mkdir()
    descriptor = json.loads((first / "datapackage.json").read_text("utf-8"))
    (copy / "datapackage.json").write_text(json.dumps({**descriptor, "version": "1.0.0", "resources": []}))
    done = subprocess.run([sys.executable, READERS / "reader_0_1.py", copy], capture_output=True, text=True)
    assert done.returncode == 1
    assert "written for version 0" in done.stderr
