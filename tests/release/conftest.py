"""What the tests of a release share: the content of the real dataset, and that of the small invented edition."""

from __future__ import annotations

import pytest

from sporeproof import run
from sporeproof.confusion.proved import proofs_of
from sporeproof.confusion.suspected import Suspicion
from sporeproof.form.load import Form
from sporeproof.records.read import Dataset
from sporeproof.release.content import Content
from sporeproof.release.provenance import provenance
from sporeproof.tables.build import Tables
from sporeproof.tables.faults import frames
from tests.conftest import ROOT
from tests.release.edition import WORDS, edition


def content_of(tables: Tables, form: Form, words: dict, version: str = "0.1.0") -> Content:
    """Return the content of a first version."""
    made = frames(tables, form)
    return Content(made, form, words, version, provenance(made, form, words, version, version))


@pytest.fixture(scope="session")
def real(dataset: Dataset, form: Form) -> Content:
    """The real dataset with all that the engine says of it."""
    checklist = run.checklist_of(dataset)
    suspicion = Suspicion(checklist, form, dataset.threshold)
    proofs = proofs_of(dataset.entries, checklist, form)
    tables = run.build_filled(dataset, run.recorded(ROOT)[0], proofs, suspicion, form)
    return content_of(tables, form, dataset.companions["package"].value)


@pytest.fixture(scope="session")
def small(form: Form) -> Content:
    """The invented edition: five taxa, none of them computed."""
    return content_of(edition(form), form, WORDS)
