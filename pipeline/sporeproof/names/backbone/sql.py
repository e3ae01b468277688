"""Text and names as SQL writes them."""

from __future__ import annotations


def quoted(name: str) -> str:
    """Return a column's name as SQL writes it."""
    return '"' + name.replace('"', '""') + '"'


def literal(text: str) -> str:
    """Return text as SQL writes it."""
    return "'" + text.replace("'", "''") + "'"
