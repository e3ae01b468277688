"""Findings as workflow commands, which GitHub shows beside the lines of a change."""

from __future__ import annotations

from sporeproof.findings import Finding, plain
from sporeproof.report.summary import Summary


def render(findings: list[Finding], summary: Summary, *, quiet: bool = False, **_: object) -> str:
    """Return one workflow command a finding, then the summary as a line of the log.

    ``quiet`` returns nothing at all where there are no findings.
    """
    if quiet and not findings:
        return ""
    return "".join(f"{line}\n" for line in [*map(_command, findings), summary.line()])


def _command(finding: Finding) -> str:
    at = finding.at
    properties: dict[str, str | int] = {"file": plain(at.file)}
    if at.line:
        properties["line"] = at.line
    if at.line and at.column:
        properties |= {"col": at.column, "endColumn": at.column + max(at.width, 1) - 1}
    properties["title"] = plain(finding.code)
    written = ",".join(f"{key}={_in_property(str(value))}" for key, value in properties.items())
    more = [f"{title}: {plain(text)}" for title, text in (("Why", finding.why), ("Mend", finding.mend)) if text]
    text = "\n".join([plain(finding.message), *more])
    return f"::{finding.level} {written}::{_in_message(text)}"


def _in_message(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _in_property(text: str) -> str:
    return _in_message(text).replace(":", "%3A").replace(",", "%2C")
