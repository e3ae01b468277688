"""What all tests share: the repository's schema and its dataset, read once. The network is taken away."""

from __future__ import annotations

import socket
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from sporeproof import run
from sporeproof.form.load import Form, load_form
from sporeproof.records.read import Dataset
from sporeproof.tables.resolve import Checklist

if TYPE_CHECKING:
    from sporeproof.release.content import Content

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def form() -> Form:
    return load_form(ROOT / "schema")


@pytest.fixture(scope="session")
def dataset(form: Form) -> Dataset:
    return run.read_whole(ROOT, form)


@pytest.fixture(scope="session")
def checklist(dataset: Dataset) -> Checklist:
    return Checklist(dataset.entries, dataset.companions["retired"].value)


@pytest.fixture(scope="session")
def real(dataset: Dataset, form: Form) -> Content:
    """The content of a release of the real dataset, with all that the engine says of it."""
    from sporeproof.confusion.proved import proofs_of
    from sporeproof.confusion.suspected import Suspicion
    from tests.release.conftest import content_of

    checklist = run.checklist_of(dataset)
    suspicion = Suspicion(checklist, form, dataset.threshold)
    proofs = proofs_of(dataset.entries, checklist, form)
    tables = run.build_filled(dataset, run.recorded(ROOT)[0], proofs, suspicion, form)
    return content_of(tables, form, dataset.companions["package"].value)


@pytest.fixture(autouse=True)
def _no_network(monkeypatch):
    """A test that reaches for the network fails; sockets of this machine's own kind are left alone."""

    def refuse(*_: object) -> None:
        raise AssertionError("a test reached for the network")

    monkeypatch.setattr(socket.socket, "connect", refuse)


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
