"""What all tests share: the repository's schema and its dataset, read once. The network is taken away."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from sporeproof import run
from sporeproof.form.load import Form, load_form
from sporeproof.records.read import Dataset
from sporeproof.tables.resolve import Checklist

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


@pytest.fixture(autouse=True)
def _no_network(monkeypatch):
    """A test that reaches for the network fails; sockets of this machine's own kind are left alone."""

    def refuse(*_: object) -> None:
        raise AssertionError("a test reached for the network")

    monkeypatch.setattr(socket.socket, "connect", refuse)
