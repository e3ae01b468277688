"""A folder is written once, and what is in its place is told; what becomes of it in a kill: test_release_faults.py."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from sporeproof.release import write as room
from sporeproof.release.refusals import ReleaseError
from sporeproof.release.write import add_signature, write
from tests.release.edition import edition


def entries(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir()) if folder.exists() else []


def test_what_a_living_run_builds_is_left_alone(tmp_path):
    with room._aside(tmp_path / "data-0.1.0") as aside:
        (aside / "a").write_bytes(b"1")
        assert write({"a": b"2"}.items(), tmp_path / "data-0.1.0")
        assert (aside / "a").read_bytes() == b"1"
        assert aside.exists()
    assert entries(tmp_path) == ["data-0.1.0"]


def test_two_runs_at_once_leave_one_whole_folder(tmp_path, monkeypatch):
    """The other one finishes first: this one finds its place taken and says so."""
    fill = room._fill

    def slow(files, aside):
        monkeypatch.setattr(room, "_fill", fill)
        write({"a": b"2"}.items(), tmp_path / "data-0.1.0")
        fill(files, aside)

    monkeypatch.setattr(room, "_fill", slow)
    with pytest.raises(ReleaseError):
        write({"a": b"1"}.items(), tmp_path / "data-0.1.0")
    assert (tmp_path / "data-0.1.0/a").read_bytes() == b"2"
    assert entries(tmp_path) == ["data-0.1.0"]


def test_the_same_files_are_left_and_others_refused(tmp_path):
    place = tmp_path / "data-0.1.0"
    assert write({"a": b"1", "b/c": b"2"}.items(), place)
    assert not write({"a": b"1", "b/c": b"2"}.items(), place)
    for other in ({"a": b"1"}, {"a": b"1", "b/c": b"3"}, {"a": b"1", "b/c": b"2", "d": b""}):
        with pytest.raises(ReleaseError, match="differs in"):
            write(other.items(), place)
    assert (place / "a").read_bytes() == b"1"


def test_a_signature_is_added_or_replaced_and_nothing_else(tmp_path):
    place = tmp_path / "data-0.1.0"
    files = {"a": b"1", "SHA256SUMS": b"2"}
    assert write(files.items(), place)
    assert add_signature(b"one", place)
    assert not add_signature(b"one", place)
    assert add_signature(b"two", place)
    assert (place / "SHA256SUMS.sig").read_bytes() == b"two"
    assert entries(place) == ["SHA256SUMS", "SHA256SUMS.sig", "a"]
    assert not write(files.items(), place), "a signed release is the same release"


def test_a_signature_does_not_go_through_a_link(tmp_path):
    place = tmp_path / "data-0.1.0"
    write({"a": b"1"}.items(), place)
    (tmp_path / "other").write_bytes(b"mine")
    (place / "SHA256SUMS.sig").symlink_to(tmp_path / "other")
    assert add_signature(b"one", place)
    assert (tmp_path / "other").read_bytes() == b"mine"
    assert not (place / "SHA256SUMS.sig").is_symlink()


def test_a_release_that_is_not_there_cannot_be_signed(tmp_path):
    with pytest.raises(ReleaseError, match="sign again"):
        add_signature(b"one", tmp_path / "nowhere")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written_is_one_sentence(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(ReleaseError, match="Permission denied"):
        write({"a": b"1"}.items(), tmp_path / "out" / "data-0.1.0")


def test_a_file_in_the_way_of_the_folder_is_one_sentence(tmp_path):
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(ReleaseError, match="out"):
        write({"a": b"1"}.items(), tmp_path / "out" / "data-0.1.0")


def test_the_small_edition_is_no_empty_one(form):
    """The release that is killed above has rows in it."""
    assert sum(map(len, edition(form).values())) > 100
