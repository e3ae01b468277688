"""Real entries with one thing spoilt: exactly what must be found is found, in its line; others are still checked."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml

from sporeproof import run
from sporeproof.checks.registry import all_rules
from sporeproof.findings import Finding
from sporeproof.records.read import TAXA
from tests.conftest import ROOT

CASES = yaml.safe_load((Path(__file__).parent / "broken.yaml").read_text("utf-8"))
DEFAULT = "kuehneromyces-mutabilis"


def found(root: Path, *named: Path) -> list[Finding]:
    return run.check(root, named).findings


def worded(finding: Finding) -> str:
    """The code, and the level where it is not the rule's usual one."""
    usual = all_rules()[finding.code].levels[0]
    return finding.code if finding.level is usual else f"{finding.code} {finding.level}"


@pytest.fixture(scope="module")
def sound() -> set[tuple[str, str, str]]:
    return {(each.at.file, each.code, each.at.excerpt) for each in found(ROOT)}


def spoil(case: dict, root: Path) -> tuple[str, range, list[str]]:
    """Write the case's file into a copy of the dataset; return its name, the lines spoilt, and all its lines."""
    shutil.copytree(ROOT / "dataset", root / "dataset")
    stem = case.get("in", DEFAULT)
    path = (root / TAXA / (stem if stem.endswith(".csv") else f"{stem}.yaml")).resolve()
    before = path.read_bytes()
    after = spoilt(case, before)
    path.write_bytes(after)
    lines = after.decode("utf-8", "replace").split("\n")
    return path.relative_to(root.resolve()).as_posix(), _changed(case, before, after), lines


def spoilt(case: dict, data: bytes) -> bytes:
    if "whole" in case:
        return raw(case, case["whole"])
    old, new = case["swap"]
    assert data.count(old.encode()) >= 1, f"{old!r} is not in the file"
    return data.replace(old.encode(), raw(case, new), 1)


def raw(case: dict, text: str) -> bytes:
    return text.encode().decode("unicode_escape").encode("latin-1") if case.get("escaped") else text.encode()


def _changed(case: dict, before: bytes, after: bytes) -> range:
    """The numbers of the lines that were spoilt; a file as a whole is line 0 and all of its lines."""
    if "whole" in case:
        return range(after.count(b"\n") + 2)
    first = before[: before.index(case["swap"][0].encode())].count(b"\n") + 1
    return range(first, first + raw(case, case["swap"][1]).count(b"\n") + 1)


def holds(expected: str, finding: Finding, spoilt: range, lines: list[str]) -> bool:
    words, _, start = expected.partition(" @ ")
    if worded(finding) != words:
        return False
    if start:
        return lines[finding.at.line - 1].strip().startswith(start)
    return finding.at.line in spoilt


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"])
def test_what_is_spoilt_is_found(case, sound, tmp_path):
    file, changed, lines = spoil(case, tmp_path)
    if "any" in case:
        assert any(case["any"] in each.code for each in found(tmp_path))
        return
    # What the rules say of the one entry comes quickly; only what is missing there needs all rules on all entries.
    if file.endswith(".yaml") and (tmp_path / file).is_file():
        missed = missing(case, found(tmp_path, tmp_path / file), file, changed, lines, sound)
    else:
        missed = set(case["expect"])
    assert not missed or missing(case, found(tmp_path), file, changed, lines, sound) == set()


def missing(case, now, file, changed, lines, sound) -> set[str]:
    """Return what should be found and is not; nothing that is not expected may be found."""
    fresh = [each for each in now if each.at.file == file and (file, each.code, each.at.excerpt) not in sound]
    missed = set(case["expect"])
    for finding in fresh:
        matching = [each for each in case["expect"] if holds(each, finding, changed, lines)]
        assert matching, f"not expected: {finding.at.line} {worded(finding)}: {finding.message}"
        missed -= set(matching)
    return missed


@pytest.mark.parametrize(
    "case", [each for each in CASES if "whole" in each and "in" not in each], ids=lambda case: case["case"]
)
def test_other_files_keep_their_findings(case, tmp_path):
    """A file that cannot be read at all costs no other file its finding."""
    spoil(case, tmp_path)
    other = tmp_path / TAXA / "hydnum-repandum.yaml"
    other.write_text(other.read_text("utf-8").replace("region: GB", "region: NO"), "utf-8")
    assert any("hydnum" in each.at.file and each.code == "file.yaml-trap" for each in found(tmp_path))


def test_there_are_enough_cases():
    assert len(CASES) >= 60
    assert len({case["case"] for case in CASES}) == len(CASES)
