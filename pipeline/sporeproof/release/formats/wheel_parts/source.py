"""The code of the Python package, as it is kept in this house. It is read, and never imported."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from sporeproof.release.content import Files

ROOM = "sporeproof.release.packages.python"
PACKAGE = "sporeproof_data"
LICENCE = "LICENSE"
README = "README.md"
TYPED = "py.typed"


@cache
def code() -> Files:
    """Return the modules by their path in the package, and the mark that they are typed."""
    found = (each for each in (files(ROOM) / PACKAGE).iterdir() if each.name.endswith(".py") or each.name == TYPED)
    return {f"{PACKAGE}/{each.name}": each.read_bytes() for each in sorted(found, key=lambda each: each.name)}


@cache
def licence() -> bytes:
    """Return the licence of the code."""
    return (files(ROOM) / LICENCE).read_bytes()


@cache
def readme() -> str:
    """Return the page of the package, with ``$words`` where a version fills in its own."""
    return (files(ROOM) / README).read_text("utf-8")
