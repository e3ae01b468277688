"""What the tests of a release share: the content of the small invented edition."""

from __future__ import annotations

import pytest

from sporeproof.form.load import Form
from sporeproof.release.content import Content
from sporeproof.release.provenance import provenance
from sporeproof.tables.build import Tables
from sporeproof.tables.faults import frames
from tests.release.edition import WORDS, edition


def content_of(tables: Tables, form: Form, words: dict, version: str = "0.1.0") -> Content:
    """Return the content of a first version."""
    made = frames(tables, form)
    return Content(made, form, words, version, provenance(made, form, words, version, version, version))


@pytest.fixture(scope="session")
def small(form: Form) -> Content:
    """The invented edition: five taxa, none of them computed."""
    return content_of(edition(form), form, WORDS)
