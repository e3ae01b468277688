"""What is said of the version as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ._read import catalogue, index

if TYPE_CHECKING:
    from collections.abc import Callable


def provenance() -> dict[str, Any]:
    """Return whence this version comes: what made it, from what, how many taxa have which verdict and review."""
    return _copied(index()["provenance"])


def characters() -> dict[str, dict[str, Any]]:
    """Return the characters by id: title, part, kind, unit, how they are seen, and what each of their states means."""
    return _copied(catalogue()["characters"])


def sources() -> dict[str, dict[str, Any]]:
    """Return the sources by id: kind, citation, year, DOI, ISBN, URL."""
    return _copied(catalogue()["sources"])


def _copied(found: dict[str, Any]) -> dict[str, Any]:
    from copy import deepcopy

    return deepcopy(found)


WORDS: dict[str, Callable[[], str]] = {
    "SAFETY_NOTE": lambda: str(index()["safety_note"]),
    "LICENCE": lambda: str(index()["licence"]["name"]),
    "__version__": lambda: str(index()["version"]),
}
