"""Whatever becomes of the bytes of a release on its way: it is found, and nothing but a sentence comes of it."""

from __future__ import annotations

import io
import shutil
import sqlite3
from pathlib import Path

import polars as pl
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from sporeproof.release.verify import verify
from tests.release.edition import published
from tests.release.test_verify import sealed

WAYS = ("flip", "cut", "double", "swap", "drop", "add")
# Only a signature finds a change in these once the checksums were made anew; nothing else tells what they say.
ALONE = {"LICENSE", "news.md"}
# These have bytes that say nothing of any row; once the checksums were made anew, only a signature guards them.
ROOMY = (".parquet", ".sqlite")
# An example takes a second, so that one that fails is not made smaller.
FEW = settings(
    max_examples=4,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
Files = dict[str, bytes]


@pytest.fixture(scope="module")
def release(form, tmp_path_factory) -> Files:
    folder = published(form, tmp_path_factory.mktemp("release")).folder
    return {each.relative_to(folder).as_posix(): each.read_bytes() for each in folder.rglob("*") if each.is_file()}


def spoilt(files: Files, without: set[str], data: st.DataObject) -> tuple[str, Files]:
    """Change one file, or two that change places; return its path, and all files."""
    path = data.draw(st.sampled_from(sorted(files.keys() - without)))
    old = files[path]
    at = data.draw(st.integers(0, len(old) - 1))
    match data.draw(st.sampled_from(WAYS)):
        case "flip":
            new = {path: old[:at] + bytes([old[at] ^ 1 << data.draw(st.integers(0, 7))]) + old[at + 1 :]}
        case "cut":
            new = {path: old[:at]}
        case "double":
            new = {path: old + old}
        case "add":
            new = {f"{path}.more": old}
        case "drop":
            return path, {each: files[each] for each in files if each != path}
        case _:
            other = data.draw(st.sampled_from(sorted(each for each in files.keys() - without if files[each] != old)))
            new = {path: files[other], other: old}
    return path, {**files, **new}


def laid_out(files: Files, folder: Path) -> Path:
    shutil.rmtree(folder, ignore_errors=True)
    for path, data in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(data)
    return folder


def says_the_same(path: str, one: bytes, other: bytes) -> bool:
    """Tell by a library of others whether two files have the same rows."""
    if path.endswith(".parquet"):
        return pl.read_parquet(io.BytesIO(one)).equals(pl.read_parquet(io.BytesIO(other)))
    return dumped(one) == dumped(other)


def dumped(data: bytes) -> list[str]:
    with sqlite3.connect(":memory:") as database:
        database.deserialize(data)
        return list(database.iterdump())


@FEW
@given(data=st.data())
def test_no_change_passes(release, form, tmp_path, data):
    _, files = spoilt(release, set(), data)
    faults = verify(laid_out(files, tmp_path / "copy"), form).faults
    assert faults
    assert all(isinstance(each, str) and each for each in faults)


@FEW
@given(data=st.data())
def test_no_changed_fact_passes_though_the_checksums_were_made_anew(release, form, tmp_path, data):
    path, files = spoilt(release, ALONE | {"SHA256SUMS", "datapackage.json"}, data)
    faults = verify(sealed(laid_out(files, tmp_path / "copy")), form).faults
    assert faults or (path.endswith(ROOMY) and says_the_same(path, release[path], files[path]))


@settings(FEW, max_examples=50)
@given(bytes_=st.binary(max_size=600), head=st.sampled_from([b"", b"PK\x03\x04", b"\x1f\x8b\x08\x00"]))
def test_bytes_of_no_kind_are_one_sentence(form, tmp_path, bytes_, head):
    (tmp_path / "x").write_bytes(head + bytes_)
    (fault,) = verify(tmp_path / "x", form).faults
    assert fault.endswith(".")
