"""Text and names as SQL writes them."""

from __future__ import annotations

from pathlib import Path


def quoted(name: str) -> str:
    """Return a column's name as SQL writes it."""
    return '"' + name.replace('"', '""') + '"'


def literal(text: str) -> str:
    """Return text as SQL writes it."""
    return "'" + text.replace("'", "''") + "'"


def unmistakable(path: Path) -> str:
    """Return a path in which the database sees no pattern for several files and no address."""
    return "".join(f"[{sign}]" if sign in "*?[" else sign for sign in str(path.absolute()))
