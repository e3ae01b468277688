"""Findings as a SARIF 2.1.0 log, for tools that gather the results of many checkers."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from sporeproof.findings import Finding, Level, Mark, plain
from sporeproof.report.json_text import json_text
from sporeproof.report.summary import Summary

# the schema's own id
SCHEMA = "https://raw.githubusercontent.com/oasis-tcs/sarif-spec/master/Schemata/sarif-schema-2.1.0.json"
ROOT = "%SRCROOT%"
LEVELS = {Level.ERROR: "error", Level.WARNING: "warning", Level.NOTICE: "note"}


def render(findings: list[Finding], summary: Summary, *, version: str = "", **_: object) -> str:
    """Return a log with one run; its rules are those that found something."""
    whys = dict(sorted({each.code: each.why for each in reversed(findings)}.items()))
    numbers = {code: number for number, code in enumerate(whys)}
    driver: dict[str, Any] = {"name": "sporeproof"}
    if version:
        driver["version"] = version
    driver["rules"] = [_rule(code, why) for code, why in whys.items()]
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "originalUriBaseIds": {ROOT: {"description": {"text": "The folder that holds the folder `dataset`."}}},
        "results": [_result(each, numbers[each.code]) for each in findings],
        "properties": {"summary": summary.line()},
    }
    return json_text({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]})


def _rule(code: str, why: str) -> dict[str, Any]:
    """Return a rule's texts; the slug of its code says the wrong state, so it serves as the short one."""
    title = code.rpartition(".")[2].replace("-", " ").capitalize()
    rule = {"id": code, "shortDescription": {"text": plain(title) + "."}}
    if why:
        rule["fullDescription"] = {"text": plain(why)}
    return rule | {"help": {"text": f"More: sporeproof explain {plain(code)}"}}


def _result(finding: Finding, number: int) -> dict[str, Any]:
    said = [finding.message, *([f"Mend: {finding.mend}"] if finding.mend else [])]
    return {
        "ruleId": finding.code,
        "ruleIndex": number,
        "level": LEVELS[finding.level],
        "message": {"text": "\n".join(map(_message, said))},
        "locations": [{"physicalLocation": _place(finding.at)}],
    }


def _message(text: str) -> str:
    """Braces are doubled, else they name an argument; a bracket before a parenthesis would make a link."""
    return plain(text).replace("{", "{{").replace("}", "}}").replace("](", "] (")


def _place(at: Mark) -> dict[str, Any]:
    path = quote(at.file, errors="surrogateescape")
    file = {"uri": f"file://{path}"} if path.startswith("/") else {"uri": path, "uriBaseId": ROOT}
    if not at.line:
        return {"artifactLocation": file}
    region = {"startLine": at.line}
    if at.column:
        region |= {"startColumn": at.column, "endColumn": at.column + max(at.width, 1)}
    return {"artifactLocation": file, "region": region}
