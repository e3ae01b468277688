"""What the tests of the packages share."""

from __future__ import annotations

import pytest

from tests.release.packages.installed import imported


@pytest.fixture(scope="session")
def invented(small, tmp_path_factory):
    """The Python package with the data of the small invented edition."""
    return imported(small, tmp_path_factory.mktemp("small"))
