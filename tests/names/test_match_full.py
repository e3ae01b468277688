"""A disk that fills while answers are written is told in a sentence; what stood there stays. The disk is in memory."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from sporeproof import indexed
from sporeproof.cli import main
from tests.conftest import ROOT


@pytest.mark.parametrize("suffix", [".csv", ".parquet"])
def test_a_full_disk_leaves_what_stood_there(small_disk, tmp_path, suffix):
    disk = small_disk(200 * 1024)
    rows = "".join(f"Fictum boreale,{number}\n" for number in range(40_000))
    (tmp_path / "rows.csv").write_text(f"scientificName,number\n{rows}")
    indexed.names_index(ROOT / "tests/fernhollow/checklist", tmp_path / "index")
    out = disk / f"out{suffix}"
    out.write_text("old")
    (disk / "fill").write_bytes(b"x" * 150_000)
    words = ["names", "match", tmp_path / "rows.csv", "--to", out, "--index", tmp_path / "index"]
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code == 2
    assert "its disk is full" in done.output
    assert out.read_text() == "old"
    assert sorted(each.name for each in disk.iterdir()) == ["fill", out.name]
