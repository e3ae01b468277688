"""An index says from what it was made, is replaced in one step, and is never used where a part of it is missing."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from sporeproof import indexed
from sporeproof.cli import main
from sporeproof.names.backbone import building, manifest
from sporeproof.names.backbone.manifest import NoIndex, manifest_of
from sporeproof.run import Stopped
from tests.conftest import ROOT
from tests.names.backbone.kinds import CHECKLIST, coldp, simple

ASKED = "scientificName\nFictum album (Inv.) Nemo\nFictum pallidum Inv.\nMendax ignotus\n"


@pytest.fixture
def download(tmp_path) -> Path:
    return coldp(CHECKLIST, tmp_path / "checklist.zip")


@pytest.fixture
def index(tmp_path, download) -> Path:
    indexed.names_index(download, tmp_path / "index")
    return tmp_path / "index"


def match(folder: Path, index: Path) -> tuple[int, str, list[str]]:
    """Match three names through the command line; return exit code, what was said, and the outcomes."""
    (folder / "asked.csv").write_text(ASKED, "utf-8")
    out = folder / "out.csv"
    out.unlink(missing_ok=True)
    done = CliRunner().invoke(
        main, ["names", "match", f"{folder / 'asked.csv'}", "--to", f"{out}", "--index", f"{index}"]
    )
    rows = out.read_text("utf-8").splitlines()[1:] if out.exists() else []
    return done.exit_code, done.output, [row.split(",")[1] for row in rows]


def said_of(folder: Path, index: Path) -> str:
    """Return the one sentence that a spoiled index is refused with."""
    code, said, rows = match(folder, index)
    assert code == 2
    assert rows == []
    assert "Traceback" not in said
    assert str(index) in said.replace("\n", "")
    return " ".join(said.split())


def test_the_manifest_says_from_what_an_index_was_made(index, download):
    found = manifest_of(index)
    assert (found.title, found.release, found.kind, found.source) == (
        "Invented fungi", "2026-01-02", "coldp", "checklist.zip",
    )  # fmt: skip
    assert found.checksum == hashlib.sha256(download.read_bytes()).hexdigest()
    assert (found.size, found.usages, found.higher) == (download.stat().st_size, len(CHECKLIST), 6)
    assert match(download.parent, index)[2] == ["current", "renamed", "unknown"]


def bytes_of(index: Path) -> dict[str, bytes]:
    folder = index / manifest_of(index).folder
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_the_same_download_gives_the_same_bytes_in_another_process(index, download, tmp_path):
    words = ["names", "index", download, "--output", tmp_path / "other"]
    code = "from sporeproof.cli import main; main()"
    subprocess.run([sys.executable, "-c", code, *words], cwd=ROOT, check=True, capture_output=True)
    assert bytes_of(tmp_path / "other") == bytes_of(index)
    assert manifest_of(tmp_path / "other").folder != manifest_of(index).folder


def test_a_new_index_takes_the_place_of_the_old_and_nothing_else_is_touched(index, tmp_path):
    old = manifest_of(index).folder
    (index / "tables-of-mine").mkdir()
    (index / "notes.txt").write_text("mine")
    done = indexed.names_index(simple(CHECKLIST[:8], tmp_path / "simple.txt"), index)
    assert done[0].startswith("8 usages indexed")
    assert {each.name for each in index.iterdir()} == {
        "manifest.json", "notes.txt", "tables-of-mine", manifest_of(index).folder,
    }  # fmt: skip
    assert manifest_of(index).folder != old


def test_what_ended_runs_left_is_swept(index, download):
    old = manifest_of(index).folder
    (index / ".under-way-abcd1234").mkdir()
    (index / ".under-way-abcd1234" / "unpacked.txt").write_text("half")
    shutil.copytree(index / old, index / "tables-0123456789ab-abcd1234")
    (index / ".manifest.json.abcd1234").write_text("{")
    indexed.names_index(download, index)
    assert {each.name for each in index.iterdir()} == {"manifest.json", manifest_of(index).folder}


def test_two_runs_at_once_do_not_spoil_each_other(index, download):
    with manifest.under_way(index) as folder:
        with pytest.raises(Stopped, match="Another `sporeproof names index` is writing to"):
            indexed.names_index(download, index)
        assert folder.is_dir()
    indexed.names_index(download, index)


def test_a_manifest_that_cannot_be_written_leaves_the_old_index(index, download, monkeypatch):
    before = bytes_of(index), manifest_of(index)

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(manifest, "replace", full)
    with pytest.raises(Stopped, match="the disk is full"):
        indexed.names_index(download, index)
    assert (bytes_of(index), manifest_of(index)) == before
    assert {each.name for each in index.iterdir()} == {"manifest.json", before[1].folder}


def test_a_file_of_others_is_not_overwritten(tmp_path, download):
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "manifest.json").write_text('{"name": "a page of mine"}')
    with pytest.raises(Stopped, match="is not the manifest of an index, and it would be overwritten"):
        indexed.names_index(download, tmp_path / "site")
    assert (tmp_path / "site" / "manifest.json").read_text() == '{"name": "a page of mine"}'


SPOILT = {
    "damaged": '{"schema": 1, "title"', "empty": "",
    "another": '{"name": "a page"}', "list": "[1]",
    "deep": "[" * 100_000,
    "newer": {"schema": 2}, "more": {"colour": "red"},
    "text for number": {"usages": "many"}, "no text": {"title": None},
    "climbs": {"folder": "../index"}, "elsewhere": {"folder": "/"}, "null": "null", "yes": {"size": True},
}  # fmt: skip


@pytest.mark.parametrize("said", SPOILT.values(), ids=list(SPOILT))
def test_a_manifest_that_is_none_is_refused_and_made_again(tmp_path, index, download, said):
    path = index / "manifest.json"
    text = said if isinstance(said, str) else json.dumps(json.loads(path.read_text()) | said)
    path.write_text(text, "utf-8")
    assert "cannot be read as the manifest of an index. Make the index again." in said_of(tmp_path, index)
    indexed.names_index(download, index)
    assert match(tmp_path, index)[0] == 1
    assert {each.name for each in index.iterdir()} == {"manifest.json", manifest_of(index).folder}


@pytest.mark.parametrize("table", ["usages-0000", "higher", "firsts"])
@pytest.mark.parametrize("harm", ["taken", "cut", "emptied"])
def test_a_table_that_is_missing_or_cut_is_told(tmp_path, index, table, harm):
    path = index / manifest_of(index).folder / f"{table}.parquet"
    if harm == "taken":
        path.unlink()
    else:
        path.write_bytes(path.read_bytes()[:-9] if harm == "cut" else b"")
    assert "has lost tables, or they are damaged. Make the index again" in said_of(tmp_path, index)


def test_a_part_that_is_missing_is_told(tmp_path, download, monkeypatch):
    monkeypatch.setattr(building, "PART", 4)
    indexed.names_index(download, tmp_path / "index")
    folder = tmp_path / "index" / manifest_of(tmp_path / "index").folder
    assert len(list(folder.glob("usages-*"))) == 4
    (folder / "usages-0002.parquet").unlink()
    assert "has lost tables" in said_of(tmp_path, tmp_path / "index")


def test_bytes_that_are_damaged_within_a_table_are_told(tmp_path, index):
    path = index / manifest_of(index).folder / "usages-0000.parquet"
    data = path.read_bytes()
    path.write_bytes(data[:4] + bytes(len(data) // 2) + data[4 + len(data) // 2 :])
    assert "cannot be read: it is damaged, or was being replaced" in said_of(tmp_path, index)


def test_no_index_and_none_of_its_folder_are_told(tmp_path):
    assert "holds no index. Make one with" in said_of(tmp_path, tmp_path / "nowhere")
    with pytest.raises(NoIndex):
        manifest_of(tmp_path)
