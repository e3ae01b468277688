"""The code of the npm package, as it is kept in this house. It is read, and never run here."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from sporeproof.release.content import Files

HOUSE = "sporeproof.release.packages"
FOLDER = "npm"
PAGE = "README.md"
# What an editor or a test leaves in the folder must not get into a release.
CODE = (
    "LICENSE",
    "errors.cjs",
    "index.cjs",
    "index.d.cts",
    "index.d.mts",
    "index.mjs",
    "proof.cjs",
    "records.cjs",
    "sealed.cjs",
    "taxon.cjs",
    "verdict.cjs",
    "versions.cjs",
)


@cache
def code() -> Files:
    """Return the files of the code and its licence, by name."""
    return {name: _read(name) for name in CODE}


@cache
def page() -> str:
    """Return the page of the package, with ``$words`` where a version fills in its own."""
    return _read(PAGE).decode()


def _read(name: str) -> bytes:
    return (files(HOUSE) / FOLDER / name).read_bytes()
