"""What the tests on names share: a disk in memory that fills up."""

from __future__ import annotations

import subprocess

import pytest


@pytest.fixture
def small_disk(tmp_path):
    """Return a function that mounts a disk of so many bytes; skips where nobody may mount."""
    place, mounted = tmp_path / "disk", []
    place.mkdir()

    def mount(size):
        words = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", place]
        try:
            done = subprocess.run(words, capture_output=True, text=True, check=False)
        except FileNotFoundError:
            pytest.skip("this system has no mount")
        if done.returncode:
            pytest.skip(f"a small disk cannot be mounted here: {done.stderr.strip()}")
        mounted.append(place)
        return place

    yield mount
    for each in mounted:
        subprocess.run(["umount", each], check=True)
