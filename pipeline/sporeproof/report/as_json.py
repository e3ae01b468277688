"""Findings for a program. The keys are a contract: they change only with the number under ``schema``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING

from sporeproof.findings import Finding
from sporeproof.report.json_text import json_text
from sporeproof.report.summary import Summary

if TYPE_CHECKING:
    from sporeproof.confusion.statistics import Figures

SCHEMA = 1


def render(findings: list[Finding], summary: Summary, *, statistics: Sequence[Figures] = (), **_: object) -> str:
    """Return the findings, the summary and the statistics, if any, as JSON; line 0 stands for a file as a whole."""
    found = [_finding(each) for each in findings]
    told = {"statistics": [asdict(each) for each in statistics]} if statistics else {}
    return json_text({"schema": SCHEMA, "findings": found, "summary": asdict(summary), **told})


def _finding(finding: Finding) -> dict[str, str | int]:
    return {
        "code": finding.code,
        "level": finding.level,
        "message": finding.message,
        "why": finding.why,
        "mend": finding.mend,
        "taxon_id": finding.taxon_id,
        "name": finding.name,
        "file": finding.at.file,
        "line": finding.at.line,
        "column": finding.at.column,
    }
