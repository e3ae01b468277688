"""What becomes of a release where the machine fails: the old one or the new one stands there whole, never a mixture."""

from __future__ import annotations

import hashlib
import os
import random
import re
import signal
import subprocess
import sys
from multiprocessing import get_context
from pathlib import Path

import pytest

from sporeproof.release.refusals import ReleaseError
from sporeproof.release.write import write
from tests.conftest import ROOT
from tests.release.edition import published

MOMENTS = 30


def files_of(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def is_true(folder: Path) -> bool:
    """Tell whether a release is whole, by its own checksums and by nothing of ours."""
    lines = (folder / "SHA256SUMS").read_text("utf-8").splitlines()
    there = {path for path in files_of(folder) if path != "SHA256SUMS"}
    sums = {line[66:]: line[:64] for line in lines}
    return sums.keys() == there and all(
        hashlib.sha256((folder / path).read_bytes()).hexdigest() == sum for path, sum in sums.items()
    )


def shown(out: Path) -> list[str]:
    return sorted(each.name for each in out.iterdir() if not each.name.startswith("."))


@pytest.fixture(scope="module")
def two(form, tmp_path_factory) -> tuple[Path, dict[str, bytes]]:
    """A release, and the files of the next one."""
    out = tmp_path_factory.mktemp("two")
    one = published(form, out / "one")
    next_ = published(form, out / "next", lambda e: e.entries["F9001"].update(family="Otheraceae"), one.folder)
    return one.folder, files_of(next_.folder)


# It counts what it does to the disk, and kills itself at one of these steps.
def writes(files: dict[str, bytes], place: Path, moment: int, steps) -> None:
    taken = 0

    def step(event: str = "", arguments: tuple = ()) -> None:
        nonlocal taken
        if event in ("", "open") or event.startswith(("os.", "shutil.", "tempfile.", "fcntl.")):
            taken += 1
            if taken == moment:
                os.kill(os.getpid(), signal.SIGKILL)

    sync = os.fsync
    os.fsync = lambda handle: (step(), sync(handle))[1]
    sys.addaudithook(step)
    write(files.items(), place)
    steps.value = taken


def run(files: dict[str, bytes], place: Path, moment: int) -> tuple[int, int]:
    """Return the exit code of a writing process and how many steps it took."""
    fork = get_context("fork")
    steps = fork.Value("i", 0)
    child = fork.Process(target=writes, args=(files, place, moment, steps))
    child.start()
    child.join()
    return child.exitcode, steps.value


@pytest.mark.filterwarnings("ignore:This process:DeprecationWarning", "ignore:Using fork:RuntimeWarning")
def test_a_kill_at_any_moment_leaves_the_old_or_the_new_release(two, tmp_path):
    old, files = two
    code, steps = run(files, tmp_path / "count" / "new", 0)
    assert code == 0
    assert steps > 3 * len(files), "every file is opened, synced and given its mode"
    for moment in random.Random(20261126).sample(range(1, steps + 1), MOMENTS):
        out = tmp_path / str(moment)
        write(files_of(old).items(), out / "old")
        code, _ = run(files, out / "new", moment)
        assert code == -signal.SIGKILL
        assert is_true(out / "old")
        assert shown(out) in (["old"], ["new", "old"])
        assert "new" not in shown(out) or files_of(out / "new") == files
        assert run(files, out / "new", 0)[0] == 0
        assert sorted(each.name for each in out.iterdir()) == ["new", "old"], "what the killed run left is gone"
        assert files_of(out / "new") == files


@pytest.mark.filterwarnings("ignore:This process:DeprecationWarning", "ignore:Using fork:RuntimeWarning")
def test_the_moments_reach_from_the_first_step_to_after_the_move(two, tmp_path):
    """The test above can see both ends."""
    _, files = two
    _, steps = run(files, tmp_path / "count" / "new", 0)
    run(files, tmp_path / "early" / "new", 1)
    run(files, tmp_path / "late" / "new", steps)
    assert not (tmp_path / "early").exists() or shown(tmp_path / "early") == []
    assert shown(tmp_path / "late") == ["new"]


def test_a_full_disk_is_one_sentence_and_leaves_what_was_there(two, small_disk):
    old, files = two
    pages = sum(-(-len(data) // 4096) for data in files.values())
    place = small_disk(f"{pages * 4096 * 3 // 2}")
    write(files_of(old).items(), place / "old")
    with pytest.raises(ReleaseError, match="No space left on device") as caught:
        write(files.items(), place / "new")
    assert "\n" not in str(caught.value)
    assert [each.name for each in place.iterdir()] == ["old"]
    assert is_true(place / "old")


def test_a_target_that_is_read_only_is_one_sentence(two, small_disk):
    old, files = two
    place = small_disk("64M")
    write(files_of(old).items(), place / "old")
    subprocess.run(["mount", "-o", "remount,ro", place], check=True)
    with pytest.raises(ReleaseError, match="Read-only file system"):
        write(files.items(), place / "new")
    assert [each.name for each in place.iterdir()] == ["old"]
    assert is_true(place / "old")


PROGRAM = """
import sys, time
from pathlib import Path
if {past}:
    when = time.struct_time((1981, 2, 3, 4, 5, 6, 1, 34, 0))
    time.time, time.time_ns = lambda: 349934706.0, lambda: 349934706 * 10**9
    time.localtime = time.gmtime = lambda *_: when
from sporeproof.form.load import load_form
from tests.release.edition import published
published(load_form(Path("schema")), Path(sys.argv[1]))
"""
TURKISH = {"LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR.UTF-8", "TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "7"}
PLAIN = {"LC_ALL": "C", "TZ": "America/St_Johns", "PYTHONHASHSEED": "42", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}


@pytest.fixture(scope="module")
def here(form, tmp_path_factory) -> dict[str, bytes]:
    return files_of(published(form, tmp_path_factory.mktemp("here")).folder)


@pytest.mark.parametrize(("elsewhere", "past"), [(TURKISH, True), (PLAIN, False)], ids=["past", "plain"])
def test_another_clock_locale_and_zone_give_the_same_bytes(here, elsewhere, past, tmp_path):
    program = PROGRAM.replace("{past}", str(past))
    environment = {"PATH": os.environ.get("PATH", ""), **elsewhere}
    subprocess.run([sys.executable, "-c", program, tmp_path], cwd=ROOT, env=environment, check=True)
    (folder,) = tmp_path.iterdir()
    there = files_of(folder)
    assert [path for path in here | there if here.get(path) != there.get(path)] == []


def test_no_line_of_a_release_asks_for_the_time():
    """The clock of C, which the test above cannot set back, is not asked either."""
    asks = re.compile(r"\b(now|today|utcnow|time|time_ns|localtime|gmtime|getmtime|st_mtime|fromtimestamp)\b\(?")
    lines = [
        (path.name, line)
        for path in (ROOT / "pipeline/sporeproof/release").rglob("*.py")
        for line in path.read_text("utf-8").splitlines()
        if re.search(r"\b(datetime|date|time|os\.path)\.\w+\(", line)
    ]
    assert [each for each in lines if asks.search(each[1].partition(".")[2])] == []


def test_two_releases_at_once_leave_one_whole_one(here, tmp_path):
    """Two processes write the same version: one at least is done, the other one finds it there or says who is at it."""
    program = PROGRAM.replace("{past}", "False")
    words = [sys.executable, "-c", program, tmp_path]
    running = [subprocess.Popen(words, cwd=ROOT, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    said = [each.communicate()[1] for each in running]
    assert 0 in [each.returncode for each in running]
    for each, text in zip(running, said, strict=True):
        assert each.returncode == 0 or "Another run is writing" in text or "is there already" in text, text
    (folder,) = tmp_path.iterdir()
    assert is_true(folder)
    assert files_of(folder) == here
