"""Texts as Markdown: nothing in a text is taken for markup, and nothing in it that a terminal would obey."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from sporeproof.findings import plain

MARKUP = re.compile(r"([\\`*_{}\[\]<>#|~&$])")
# At the start of a line these would open a list, or underline what stands above.
OPENING = re.compile(r"^(\d*)([-+=.)])")


def escaped(text: str) -> str:
    r"""Return a text on one line in which no sign means anything to Markdown.

    >>> escaped("a|b *c*"), escaped("1. x"), escaped("- x")
    ('a\\|b \\*c\\*', '1\\. x', '\\- x')
    """
    tame = MARKUP.sub(r"\\\1", plain(" ".join(text.split())))
    return OPENING.sub(r"\1\\\2", tame)


def pipe_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Return a table, one line a row, every cell escaped."""
    lines = [_row(map(escaped, head)), _row("---" for _ in head)]
    return [*lines, *(_row(map(escaped, row)) for row in rows)]


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"
