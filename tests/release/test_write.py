"""A folder is there whole or not at all, whenever the run is killed: the kill comes at its own steps, not by a clock.

A child process counts each step it takes on the disk (opening, naming, removing, moving; and syncing) and kills
itself with signal 9 at a given one; 20 seeded steps are tried.
"""

from __future__ import annotations

import hashlib
import os
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from sporeproof.release import write as room
from sporeproof.release.refusals import ReleaseError
from sporeproof.release.write import write
from tests.conftest import ROOT
from tests.release.edition import edition

CHILD = """
import os, signal, sys
out, moment, what = sys.argv[1], int(sys.argv[2]), sys.argv[3]
steps = 0

def step(event="", arguments=()):
    global steps
    counted = event.startswith(("os.", "shutil.", "fcntl.", "tempfile.")) or event in ("", "open")
    if counted and started and (event != "open" or str(arguments[0]).startswith(out)):
        steps += 1
        if steps == moment:
            os.kill(os.getpid(), signal.SIGKILL)

from pathlib import Path
started = False
sync = os.fsync
os.fsync = lambda handle: (step(), sync(handle))
sys.addaudithook(step)
if what == "write":
    from sporeproof.release.write import write
    from tests.release.files import FILES
    started = True
    write(FILES, Path(out) / "data-0.1.0")
else:
    from sporeproof.form.load import load_form
    from tests.release.edition import published
    form = load_form(Path("schema"))
    started = True
    published(form, Path(out))
print(steps)
"""


def child(out: Path, moment: int, what: str = "write") -> subprocess.CompletedProcess:
    arguments = [sys.executable, "-c", CHILD, str(out), str(moment), what]
    return subprocess.run(arguments, cwd=ROOT, capture_output=True, text=True, check=False)


def entries(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir()) if folder.exists() else []


def is_true(folder: Path) -> bool:
    """Tell whether a package is whole, by its own checksums."""
    lines = (folder / "SHA256SUMS").read_text("utf-8").splitlines()
    return all(hashlib.sha256((folder / line[66:]).read_bytes()).hexdigest() == line[:64] for line in lines)


@pytest.fixture(scope="module")
def steps(tmp_path_factory) -> int:
    done = child(tmp_path_factory.mktemp("count"), 0)
    assert done.returncode == 0, done.stderr
    return int(done.stdout)


MOMENTS = sorted(random.Random(20261125).sample(range(10_000), 20))


@pytest.mark.parametrize("moment", MOMENTS)
def test_a_kill_leaves_the_folder_absent_or_whole(moment, steps, tmp_path):
    at = 1 + moment * steps // 10_000
    killed = child(tmp_path, at)
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    place = tmp_path / "data-0.1.0"
    whole = place.exists()
    assert not whole or is_true(place)
    again = child(tmp_path, 0)
    assert again.returncode == 0, again.stderr
    assert entries(tmp_path) == ["data-0.1.0"], "what the killed run left is gone"
    assert is_true(place)


def test_the_moments_reach_from_the_first_step_to_after_the_move(steps, tmp_path):
    """The test above can see both ends: killed at the first step nothing is there, at the last step all is."""
    child(tmp_path / "early", 1)
    child(tmp_path / "late", steps)
    assert entries(tmp_path / "early") == []
    assert entries(tmp_path / "late") == ["data-0.1.0"]
    assert steps > 60


def test_a_whole_release_that_is_killed_leaves_nothing_half(tmp_path):
    count = child(tmp_path / "count", 0, "publish")
    assert count.returncode == 0, count.stderr
    for moment in random.Random(9).sample(range(1, int(count.stdout)), 3):
        out = tmp_path / str(moment)
        killed = child(out, moment, "publish")
        assert killed.returncode == -signal.SIGKILL, killed.stderr
        shown = [each for each in entries(out) if not each.startswith(".")]
        assert all(is_true(out / each) for each in shown)


def test_a_killed_run_of_a_later_version_leaves_the_earlier_one(steps, tmp_path):
    write({"SHA256SUMS": b"", "a": b"1"}, tmp_path / "data-0.0.9")
    child(tmp_path, steps // 2)
    assert (tmp_path / "data-0.0.9/a").read_bytes() == b"1"
    assert not (tmp_path / "data-0.1.0").exists()


def test_what_a_living_run_builds_is_left_alone(tmp_path):
    with room._aside(tmp_path / "data-0.1.0") as aside:
        (aside / "a").write_bytes(b"1")
        assert write({"a": b"2"}, tmp_path / "data-0.1.0")
        assert (aside / "a").read_bytes() == b"1"
        assert aside.exists()
    assert entries(tmp_path) == ["data-0.1.0"]


def test_two_runs_at_once_leave_one_whole_folder(tmp_path, monkeypatch):
    """The other one finishes first: this one finds its place taken and says so."""
    fill = room._fill

    def slow(files, aside):
        monkeypatch.setattr(room, "_fill", fill)
        write({"a": b"2"}, tmp_path / "data-0.1.0")
        fill(files, aside)

    monkeypatch.setattr(room, "_fill", slow)
    with pytest.raises(ReleaseError):
        write({"a": b"1"}, tmp_path / "data-0.1.0")
    assert (tmp_path / "data-0.1.0/a").read_bytes() == b"2"
    assert entries(tmp_path) == ["data-0.1.0"]


def test_the_same_files_are_left_and_others_refused(tmp_path):
    place = tmp_path / "data-0.1.0"
    assert write({"a": b"1", "b/c": b"2"}, place)
    assert not write({"a": b"1", "b/c": b"2"}, place)
    for other in ({"a": b"1"}, {"a": b"1", "b/c": b"3"}, {"a": b"1", "b/c": b"2", "d": b""}):
        with pytest.raises(ReleaseError, match="differs in"):
            write(other, place)
    assert (place / "a").read_bytes() == b"1"


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written_is_one_sentence(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(ReleaseError, match="Permission denied"):
        write({"a": b"1"}, tmp_path / "out" / "data-0.1.0")


def test_a_file_in_the_way_of_the_folder_is_one_sentence(tmp_path):
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(ReleaseError, match="out"):
        write({"a": b"1"}, tmp_path / "out" / "data-0.1.0")


def test_the_small_edition_is_no_empty_one(form):
    """The release that is killed above has rows in it."""
    assert sum(map(len, edition(form).values())) > 100
