"""Whenever `names index` ends, the old index or the new one answers, and the next run finishes. All is invented."""

from __future__ import annotations

import shutil
import subprocess
import sys

import pytest
from click.testing import CliRunner

from sporeproof import indexed
from sporeproof.cli import main
from sporeproof.names.backbone import building
from sporeproof.names.backbone.manifest import manifest_of
from tests.conftest import ROOT
from tests.names.backbone.kinds import CHECKLIST, coldp, simple

# Of the first checklist, of the second only, and of none.
ASKED = "scientificName\nFictum album (Inv.) Nemo\nFictum incertum\nMendax ignotus\n"
OLD, NEW = ["current", "higher-only", "unknown"], ["current", "doubtful", "unknown"]


def outcomes(folder, index):
    """Match three names by the command; return what each came to."""
    (folder / "asked.csv").write_text(ASKED, "utf-8")
    out = folder / "out.csv"
    out.unlink(missing_ok=True)
    words = ["names", "match", folder / "asked.csv", "--to", out, "--index", index]
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code == 1, done.output
    return [row.split(",")[1] for row in out.read_text("utf-8").splitlines()[1:]]


def tables(index):
    folder = index / manifest_of(index).folder
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture(scope="module")
def ended(tmp_path_factory):
    """A folder with 20 indexes, a run over each of which was ended."""
    folder = tmp_path_factory.mktemp("killed")
    indexed.names_index(simple(CHECKLIST[:8], folder / "old.txt"), folder / "begun")
    coldp(CHECKLIST, folder / "new.zip")
    command = [sys.executable, "-m", "tests.names.backbone.index_killed", folder]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 200
    return folder


def test_the_old_index_or_the_new_one_answers_whenever_a_run_ends(ended, monkeypatch):
    monkeypatch.setattr(building, "PART", 4)
    begun, whole = ended / "begun", ended / "whole"
    assert (outcomes(ended, begun), outcomes(ended, whole)) == (OLD, NEW)
    assert len(tables(whole)) == len(CHECKLIST) // 4 + 3
    seen = {}
    for number in range(20):
        index = ended / str(number)
        is_new = manifest_of(index).checksum == manifest_of(whole).checksum
        state = is_new, *sorted(each.name[:11] for each in index.iterdir())
        assert tables(index) == tables(whole if is_new else begun), number
        if state not in seen:  # the tables are the same: it is what lies beside them that might be asked by mistake
            assert outcomes(ended, index) == (NEW if is_new else OLD), number
        indexed.names_index(ended / "new.zip", index)
        assert tables(index) == tables(whole), number
        assert {each.name for each in index.iterdir()} == {"manifest.json", manifest_of(index).folder}, number
        seen[state] = number
    assert {is_new for is_new, *_ in seen} == {False, True}
    assert any(".under-way-" in names for _, *names in seen), "or nothing was there to be swept"
    shutil.rmtree(ended)
