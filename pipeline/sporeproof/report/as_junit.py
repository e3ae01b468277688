"""Findings as JUnit XML: each file is a test case, each error in it a failure, the rest its output."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as Xml

from sporeproof.findings import SAFETY_NOTE, Finding, Level, plain
from sporeproof.report.as_text import block
from sporeproof.report.summary import Summary

NAME = "sporeproof"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def render(findings: list[Finding], summary: Summary, *, files: Sequence[str] = (), **_: object) -> str:
    """Return the checked files as test cases. No time is in it, so that two runs write the same."""
    by_file: dict[str, list[Finding]] = {file: [] for file in files}
    for finding in findings:
        by_file.setdefault(finding.at.file, []).append(finding)
    failed = sum(any(each.level is Level.ERROR for each in found) for found in by_file.values())
    counts = {"name": NAME, "tests": str(len(by_file)), "failures": str(failed), "errors": "0"}
    suites = Xml.Element("testsuites", counts)
    suite = Xml.SubElement(suites, "testsuite", counts)
    for file, found in by_file.items():
        _case(Xml.SubElement(suite, "testcase", {"name": plain(file), "classname": NAME}), found)
    Xml.SubElement(suite, "system-out").text = f"{summary.line()}\n{SAFETY_NOTE}\n"
    Xml.indent(suites)
    return f"{HEAD}{Xml.tostring(suites, encoding='unicode')}\n"


def _case(case: Xml.Element, found: list[Finding]) -> None:
    """Put a file's findings into its test case; the text blocks have no sign in them that XML forbids."""
    for each in found:
        if each.level is Level.ERROR:
            failure = Xml.SubElement(case, "failure", {"type": plain(each.code), "message": plain(each.message)})
            failure.text = block(each)
    if rest := [block(each) for each in found if each.level is not Level.ERROR]:
        Xml.SubElement(case, "system-out").text = "\n".join(rest)
