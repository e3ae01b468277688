"""Figures of a dataset as text for a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sporeproof.findings import plain

if TYPE_CHECKING:
    from sporeproof.confusion.statistics import Figures


def figures_text(figures: Figures) -> str:
    """Return one table of figures under its title: columns aligned, numbers to the right."""
    rows = [figures.head, *figures.rows]
    widths = [max(len(str(row[at])) for row in rows) for at in range(len(figures.head))]
    lines = [figures.title, *("  " + _line(row, widths) for row in rows)]
    return "".join(f"{plain(line)}\n" for line in lines)


def _line(row: tuple[str | int, ...], widths: list[int]) -> str:
    first, *others = row
    return "  ".join(
        [str(first).ljust(widths[0]), *(str(cell).rjust(width) for cell, width in zip(others, widths[1:], strict=True))]
    )
