"""Runs one rule over a small dataset given as texts: the examples of its page, and its case file."""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from sporeproof import run
from sporeproof.checks.judge import CRASHED, dated, judge
from sporeproof.checks.registry import Rule
from sporeproof.form.load import Form, load_form
from sporeproof.names.age import Limit
from sporeproof.records.read import TAXA
from sporeproof.tables.resolve import stem_of

ROOT = Path(__file__).parents[2]
# Answers are judged by their age as if it were this day.
LIMIT = Limit(date(2026, 11, 26), timedelta(days=90))
FENCE = re.compile(r"^```(yaml|csv|escaped|link|times [0-9]+)[ ]?([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass
class Case:
    """A dataset as texts by path, and what a rule must find: ``[path ]line:column code[ level]``."""

    title: str
    files: dict[str, bytes] = field(default_factory=dict)
    links: dict[str, str] = field(default_factory=dict)
    expect: list[str] = field(default_factory=list)


@cache
def form() -> Form:
    """The repository's own schema."""
    return load_form(ROOT / "schema")


def entry_path(text: str) -> str:
    """The path of an entry's file: what a first line ``# file: NAME`` says, else what its name asks for."""
    if found := re.match(r"# file: (\S+)", text):
        return f"{TAXA}/{found[1]}"
    name = re.search(r"^name:[ ]*(.+?)\s*(?:#.*)?$", text, re.MULTILINE)
    stem = stem_of(name[1].strip('"')) if name else ""
    return f"{TAXA}/{stem or 'nameless'}.yaml"


def add_entry(case: Case, text: str) -> None:
    """Put an entry into a case; a second one of the same name gets a file of its own."""
    path = entry_path(text)
    while path in case.files:
        path = path.replace(".yaml", "-again.yaml")
    case.files[path] = text.encode()


def from_page(rule: Rule, section: str) -> Case:
    """The dataset that a section of a rule's page shows."""
    case = Case(f"{rule.code}: {section}")
    for kind, path, text in FENCE.findall(rule.section(section)):
        if kind == "escaped":
            case.files[path] = text.rstrip("\n").encode().decode("unicode_escape").encode("latin-1")
        elif kind == "link":
            case.links[path] = text.strip()
        elif kind.startswith("times"):
            case.files[path] = text.encode() * int(kind.partition(" ")[2])
        elif path:
            case.files[path] = text.encode()
        else:
            add_entry(case, text)
    return case


def from_file(path: Path) -> list[Case]:
    """The cases of one rule's case file."""
    return [_case(raw) for raw in yaml.safe_load(path.read_text("utf-8"))]


def _case(raw: dict[str, Any]) -> Case:
    case = Case(raw["case"], links=raw.get("links", {}), expect=raw["expect"])
    for text in re.split(r"^---\n", raw.get("entries", ""), flags=re.MULTILINE):
        if text.strip():
            add_entry(case, text)
    for path, text in raw.get("files", {}).items():
        case.files[path] = text.encode()
    for path, text in raw.get("escaped", {}).items():
        case.files[path] = text.encode().decode("unicode_escape").encode("latin-1")
    for path, (times, text) in raw.get("times", {}).items():
        case.files[path] = text.encode() * times
    return case


def lay(case: Case, root: Path) -> None:
    """Write a case's files below a folder."""
    (root / TAXA).mkdir(parents=True, exist_ok=True)
    if any(path.startswith("schema/") for path in case.files):  # a case writes only what differs
        shutil.copytree(ROOT / "schema", root / "schema")
    for path, data in case.files.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_bytes(data)
    for path, target in case.links.items():
        (root / path).symlink_to(target)


def found(case: Case, rules: list[Rule] | None, root: Path) -> list[str]:
    """What the rules find in a case, in the words of its ``expect``; the first entry's path is left out."""
    lay(case, root)
    schema = load_form(root / "schema") if (root / "schema").exists() else form()
    dataset = run.read_whole(root, schema)
    answers = run.recorded(root)
    checked = judge(dataset, dataset.readings, schema, answers, rules=_run_with(rules), graded=_is_graded(rules))
    first = next(iter(case.files), "")
    codes = {rule.code for rule in rules or ()}
    return [
        f"{'' if each.at.file == first else each.at.file + ' '}{each.at.line}:{each.at.column} {each.code}"
        + (f" {each.level}" if each.level is not _usual(each.code, rules) else "")
        for each in checked.findings
        if not rules or each.code in codes or each.code == CRASHED
    ]


def _run_with(rules: list[Rule] | None) -> list[Rule] | None:
    """A rule about excuses needs the rules that are excused."""
    return None if not rules or any(rule.per == "excuse" for rule in rules) else dated(rules, LIMIT)


def _is_graded(rules: list[Rule] | None) -> bool:
    return any(rule.per == "proof" for rule in rules or ())


def _usual(code: str, rules: list[Rule] | None) -> object:
    return next((rule.levels[0] for rule in rules or () if rule.code == code), None)
