"""A full disk is told in a sentence, and the old index stays in force. The disk is a small one in memory."""

from __future__ import annotations

import gzip
import shutil

import polars as pl
import pytest
from click.testing import CliRunner

from sporeproof import indexed
from sporeproof.cli import main
from sporeproof.names.backbone.manifest import manifest_of
from tests.bench.backbone import backbone, written
from tests.names.backbone.kinds import CHECKLIST, simple
from tests.names.invented import tree

MEBIBYTE = 1 << 20


@pytest.fixture
def disk(small_disk, tmp_path):
    """Return a function that gives an index on a disk of so many bytes."""

    def indexed_on(size):
        index = small_disk(size) / "index"
        indexed.names_index(simple(CHECKLIST, tmp_path / "old.txt"), index)
        return index

    return indexed_on


@pytest.fixture(scope="module")
def large(tmp_path_factory):
    """An invented backbone of 3 MiB of text."""
    path = tmp_path_factory.mktemp("large") / "simple.txt"
    written(backbone(20_000, seed=4), path)
    assert path.stat().st_size > 3 * MEBIBYTE
    return path


def full(file, index):
    """Index onto a disk that is too small; return what is said."""
    before = tree(index)
    done = CliRunner().invoke(main, ["names", "index", str(file), "--output", str(index)])
    assert done.exit_code == 2, done.output
    assert done.exception is None or isinstance(done.exception, SystemExit)
    assert tree(index) == before
    assert manifest_of(index).usages == len(CHECKLIST)
    said = " ".join(done.output.split())
    assert "Traceback" not in said
    assert str(file) in said
    return said


def test_a_disk_that_fills_up_while_unpacking_is_told(disk, large, tmp_path):
    index = disk(2 * MEBIBYTE)
    (tmp_path / "simple.txt.gz").write_bytes(gzip.compress(large.read_bytes()))
    assert "is full, so it could not be unpacked" in full(tmp_path / "simple.txt.gz", index)


def test_a_disk_that_fills_up_while_the_tables_are_written_is_told(disk, large):
    index = disk(MEBIBYTE // 2)
    assert "the disk is full. Nothing was changed; make room and run this again." in full(large, index)


def test_any_size_of_disk_leaves_the_old_index_or_the_new_one(disk, large, tmp_path):
    """The room that is left goes from nothing to enough, so that each table in its turn is the one that has none."""
    index = disk(4 * MEBIBYTE)
    told = set()
    filler = index.parent / "filler"
    done = CliRunner().invoke(main, ["names", "index", str(large), "--output", str(tmp_path / "enough")])
    assert done.exit_code == 0
    needed = sum(path.stat().st_size for path in (tmp_path / "enough").rglob("*.parquet"))
    for room in range(0, needed + 64 * 1024, needed // 7):
        filler.unlink(missing_ok=True)
        with filler.open("wb") as file:
            file.write(bytes(max(0, shutil.disk_usage(index).free - room)))
        told.add(full(large, index))
    assert all("the disk is full" in each for each in told), told
    filler.unlink()
    done = CliRunner().invoke(main, ["names", "index", str(large), "--output", str(index)])
    assert done.exit_code == 0, done.output
    assert pl.read_parquet(index / manifest_of(index).folder / "usages-*.parquet").height == 20_000
