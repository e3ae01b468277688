"""The figures of a version in its news: what it holds, how it is known, and how complete it is."""

from __future__ import annotations

from collections.abc import Iterable

from sporeproof.confusion.statistics import STATISTICS_TABLES, Figures, statistics
from sporeproof.form.load import Form
from sporeproof.tables.faults import Frames

TITLE = "## What it holds, counted"
SAYS = (
    "Completeness counts the characters that may apply to a taxon and those that are recorded of it. "
    "What is not recorded is not known, and tells nothing apart."
)


def counted(frames: Frames, form: Form, told: Iterable[Figures] = ()) -> list[str]:
    """Return the parts of the news that hold the figures, each table in Markdown: its own, and others that are told."""
    tables = {name: frames[name].rows() for name in STATISTICS_TABLES}
    return [TITLE, SAYS, *(_table(each) for each in [*statistics(tables, form), *told])]


def _table(figures: Figures) -> str:
    rule = ("---", *("---:" for _ in figures.head[1:]))
    rows = [figures.head, rule, *figures.rows]
    return f"### {figures.title}\n\n" + "\n".join(f"| {' | '.join(map(str, row))} |" for row in rows)
