"""Figures of a dataset as text for a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sporeproof.findings import plain

if TYPE_CHECKING:
    from sporeproof.confusion.statistics import Figures


def figures_text(figures: Figures) -> str:
    """Return one table of figures under its title: words to the left, numbers to the right."""
    rows = [figures.head, *figures.rows]
    widths = [max(len(str(row[at])) for row in rows) for at in range(len(figures.head))]
    numbers = [
        bool(figures.rows) and all(isinstance(row[at], int) for row in figures.rows) for at in range(len(widths))
    ]
    lines = [figures.title, *("  " + _line(row, widths, numbers) for row in rows)]
    return "".join(f"{plain(line).rstrip()}\n" for line in lines)


def _line(row: tuple[str | int, ...], widths: list[int], numbers: list[bool]) -> str:
    cells = zip(map(str, row), widths, numbers, strict=True)
    return "  ".join(cell.rjust(width) if is_number else cell.ljust(width) for cell, width, is_number in cells)
