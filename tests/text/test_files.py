"""Bytes from a folder that strangers may have filled, and bytes put there whole or not at all."""

from __future__ import annotations

import os

import pytest

from sporeproof.findings import Trouble
from sporeproof.text.files import fetch, replace


def kind(path, root):
    found = fetch(path, root)
    return found.kind if isinstance(found, Trouble) else found


def test_a_plain_file_is_read(tmp_path):
    (tmp_path / "a.yaml").write_bytes(b"a: 1\n")
    assert kind(tmp_path / "a.yaml", tmp_path) == b"a: 1\n"


def test_no_more_is_read_than_one_byte_too_many(tmp_path):
    (tmp_path / "a.yaml").write_bytes(b"x" * 100)
    assert len(fetch(tmp_path / "a.yaml", tmp_path, most=10)) == 11


def test_links_devices_pipes_and_folders_are_refused(tmp_path):
    (tmp_path / "real").write_bytes(b"a: 1\n")
    (tmp_path / "link.yaml").symlink_to(tmp_path / "real")
    os.mkfifo(tmp_path / "pipe.yaml")
    (tmp_path / "folder.yaml").mkdir()
    assert kind(tmp_path / "link.yaml", tmp_path) == "outside"
    assert kind(tmp_path / "pipe.yaml", tmp_path) == "not-readable"
    assert kind(tmp_path / "folder.yaml", tmp_path) == "not-readable"
    assert kind(tmp_path / "absent.yaml", tmp_path) == "not-readable"


def test_a_device_is_refused(tmp_path):
    assert kind(type(tmp_path)("/dev/zero"), type(tmp_path)("/dev")) == "not-readable"


def test_ways_out_of_the_folder_are_refused(tmp_path):
    inside = tmp_path / "inside"
    inside.mkdir()
    (tmp_path / "secret.yaml").write_bytes(b"a: 1\n")
    (inside / "way").symlink_to(tmp_path)
    assert kind(inside / ".." / "secret.yaml", inside) == "outside"
    assert kind(inside / "way" / "secret.yaml", inside) == "outside"


def test_a_file_is_replaced_whole_and_keeps_its_mode(tmp_path):
    path = tmp_path / "a.yaml"
    path.write_bytes(b"old")
    path.chmod(0o640)
    replace(path, b"new")
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640
    assert [each.name for each in tmp_path.iterdir()] == ["a.yaml"]


def test_a_write_that_cannot_end_leaves_the_old_one(tmp_path, monkeypatch):
    path = tmp_path / "a.yaml"
    path.write_bytes(b"old")

    def full(*_: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="no space"):
        replace(path, b"new")
    assert path.read_bytes() == b"old"
    assert [each.name for each in tmp_path.iterdir()] == ["a.yaml"]
