"""Findings for a person at a terminal: where, what, why, and how to mend it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sporeproof.findings import SAFETY_NOTE, Finding, Level, Mark, plain
from sporeproof.report.excerpt import excerpt
from sporeproof.report.figures import figures_text
from sporeproof.report.summary import Summary

if TYPE_CHECKING:
    from sporeproof.confusion.statistics import Figures

COLOURS = {Level.ERROR: "\x1b[1;31m", Level.WARNING: "\x1b[1;33m", Level.NOTICE: "\x1b[1;36m"}
PLAIN = "\x1b[0m"


def render(
    findings: list[Finding],
    summary: Summary,
    *,
    colour: bool = False,
    quiet: bool = False,
    statistics: Sequence[Figures] = (),
    **_: object,
) -> str:
    """Return the findings as blocks of text, then the statistics if any, the summary and the safety note.

    ``quiet`` returns nothing at all where there are no findings and no statistics.
    """
    if quiet and not findings and not statistics:
        return ""
    blocks = [block(finding, colour=colour) for finding in findings]
    blocks += [figures_text(each) for each in statistics]
    blocks.append(f"{summary.line()}\n{SAFETY_NOTE}\n")
    return "\n".join(blocks)


def block(finding: Finding, *, colour: bool = False) -> str:
    """Return one finding as lines of text, with nothing in it that a terminal would obey."""
    start, end = (COLOURS[finding.level], PLAIN) if colour else ("", "")
    lines = [f"{place(finding.at)}: {start}{finding.level}{end} {plain(finding.code)}"]
    if finding.at.line and finding.at.excerpt:
        shown, carets = excerpt(finding.at)
        gutter = " " * len(str(finding.at.line))
        lines.append(f"  {finding.at.line} | {shown}".rstrip())
        lines.append(f"  {gutter} | {carets.replace('^', start + '^', 1)}{end}")
    lines.append(f"  {plain(finding.message)}")
    if finding.why:
        lines.append(f"  Why:  {plain(finding.why)}")
    if finding.mend:
        lines.append(f"  Mend: {plain(finding.mend)}")
    lines.append(f"  More: sporeproof explain {plain(finding.code)}")
    return "\n".join(lines) + "\n"


def place(at: Mark) -> str:
    """Return a place as ``file:line:column``, or the file alone where there is nothing to point at."""
    return ":".join([plain(at.file), *(str(each) for each in (at.line, at.column) if at.line and each)])
