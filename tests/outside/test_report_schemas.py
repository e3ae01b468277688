"""Reports against published schemas (``schemas/README.md``): SARIF 2.1.0, and JUnit as Jenkins reads it."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from urllib.parse import unquote_to_bytes, urlsplit

import jsonschema
from hypothesis import example, given
from lxml import etree

from sporeproof.findings import Finding, Level, Mark, plain
from sporeproof.report import as_junit, as_sarif
from tests.golden.texts import FILES, FINDINGS, SUMMARY
from tests.report.hostile import few, files, lists, marks, summaries

SCHEMAS = Path(__file__).parent / "schemas"
CLEAN = "dataset/taxa/scleroderma-citrinum.yaml"


@cache
def sarif_schema() -> jsonschema.Draft7Validator:
    return jsonschema.Draft7Validator(json.loads((SCHEMAS / "sarif-schema-2.1.0.json").read_text("utf-8")))


@cache
def junit_schema() -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(SCHEMAS / "jenkins-junit.xsd"))


def sarif(found, summary=SUMMARY, version="1.2.3"):
    log = json.loads(as_sarif.render(found, summary, version=version))
    sarif_schema().validate(log)
    return log


def junit(found, names=FILES, summary=SUMMARY):
    tree = etree.fromstring(as_junit.render(found, summary, files=names).encode())
    junit_schema().assertValid(tree)
    return tree


def test_sarif_names_the_schema_by_its_own_id():
    assert sarif([])["$schema"] == sarif_schema().schema["$id"]


def test_sarif_without_findings_or_version_is_a_log():
    assert sarif([], version="")["runs"][0]["results"] == []
    assert "version" not in sarif([], version="")["runs"][0]["tool"]["driver"]


def test_sarif_of_each_level_and_place():
    run = sarif(FINDINGS)["runs"][0]
    assert [each["level"] for each in run["results"]] == ["error", "error", "error", "warning", "note"]
    places = [each["locations"][0]["physicalLocation"] for each in run["results"]]
    assert "region" not in places[0]
    line = FINDINGS[3].at.excerpt
    region = places[3]["region"]
    assert line[region["startColumn"] - 1 : region["endColumn"] - 1] == "aniseeed"


@few
@given(lists, summaries)
def test_sarif_of_anything_is_valid_and_leads_back_to_its_rule(found, summary):
    run = sarif(found, summary)["runs"][0]
    rules = run["tool"]["driver"]["rules"]
    assert [rules[each["ruleIndex"]]["id"] for each in run["results"]] == [each.code for each in found]
    assert len({each["id"] for each in rules}) == len(rules)


@few
@given(lists)
@example([replace(FINDINGS[0], message="{0} [a](b) ](")])
def test_sarif_message_names_no_argument_and_makes_no_link(found):
    """SARIF 2.1.0, 3.11.5 and 3.11.6, from memory: a lone brace is a placeholder, ``[text](to)`` a link."""
    for result, finding in zip(sarif(found)["runs"][0]["results"], found, strict=True):
        said = result["message"]["text"].split("\n")[0]
        assert not re.search(r"\[[^]]*\]\(", said)
        assert "{" not in said.replace("{{", "").replace("}}", "")
        assert said.replace("{{", "{").replace("}}", "}").replace("] (", "](") == plain(finding.message).replace(
            "] (", "]("
        )


@few
@given(files, marks())
@example("/elsewhere/x.yaml", Mark("x"))
@example("//elsewhere/a:b?c#d%.yaml", Mark("x"))
def test_sarif_address_leads_back_to_the_file(file, mark):
    at = Mark(file, mark.line, mark.column, mark.width)
    found = Finding("a.b", Level.ERROR, "M", "W", "D", at)
    place = sarif([found])["runs"][0]["results"][0]["locations"][0]["physicalLocation"]
    uri = place["artifactLocation"]["uri"]
    parts = urlsplit(uri)
    assert uri.isascii()
    assert parts.scheme == ("file" if file.startswith("/") else "")
    assert ("uriBaseId" in place["artifactLocation"]) is not file.startswith("/")
    assert not any((parts.netloc, parts.query, parts.fragment))
    assert unquote_to_bytes(parts.path) == file.encode("utf-8", "surrogateescape")


def test_junit_has_a_case_for_each_file_and_counts_those_with_errors():
    suite = junit(FINDINGS, (*FILES, CLEAN))[0]
    assert (suite.get("tests"), suite.get("failures"), suite.get("errors")) == ("6", "3", "0")
    failed = {case.get("name"): len(case.findall("failure")) for case in suite.findall("testcase")}
    assert failed == dict.fromkeys((*FILES, CLEAN), 0) | {
        FILES[0]: 1,
        FILES[1]: 1,
        "dataset/sources, old list 100%.yaml": 1,
    }
    assert [case.get("name") for case in suite.findall("testcase") if case.find("system-out") is not None] == [
        FILES[1],
        FILES[3],
    ]


def test_junit_of_nothing_is_a_report():
    assert junit([], names=())[0].get("tests") == "0"


@few
@given(lists, summaries)
def test_junit_of_anything_is_valid_and_loses_no_finding(found, summary):
    tree = junit(found, [each.at.file for each in found[1:]], summary)
    failures = {(each.get("type"), each.get("message")) for each in tree.iter("failure")}
    errors = [each for each in found if each.level is Level.ERROR]
    assert len(list(tree.iter("failure"))) == len(errors)
    assert failures == {(plain(each.code), plain(each.message)) for each in errors}
    written = "\n".join(tree.itertext())
    assert all(f"  {plain(each.message)}\n" in written for each in found)
    assert len(tree[0].findall("testcase")) == len({each.at.file for each in found})
