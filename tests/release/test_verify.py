"""A received release is held against itself: files, descriptor, tables, formats, provenance and signature."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import shutil
import subprocess
from pathlib import Path

import polars as pl
import pytest

from sporeproof.form.load import load_form
from sporeproof.release import verify as room
from sporeproof.release.formats.registry import all_formats
from sporeproof.release.signature import sign
from sporeproof.release.verify import verify
from sporeproof.release.write import add_signature
from tests.conftest import ROOT
from tests.release.edition import published

FORM = load_form(ROOT / "schema")
WHO = "release@fernhollow.example"


@pytest.fixture(scope="module")
def first(tmp_path_factory) -> Path:
    return published(FORM, tmp_path_factory.mktemp("first")).folder


@pytest.fixture(scope="module")
def other(tmp_path_factory) -> Path:
    """A release of the same version in which the deadly one is called edible."""

    def change(made):
        made.entries["F9002"]["edibility"].update(verdict="edible", syndromes=[])

    return published(FORM, tmp_path_factory.mktemp("other"), change).folder


@pytest.fixture
def copy(first, tmp_path) -> Path:
    return shutil.copytree(first, tmp_path / "copy")


def sealed(folder: Path) -> Path:
    """Make sizes and checksums true again, as whoever spoils a release would; by nothing of ours."""
    path = folder / "datapackage.json"
    described = json.loads(path.read_text("utf-8"))
    for each in described["resources"]:
        data = (folder / each["path"]).read_bytes() if (folder / each["path"]).exists() else b""
        each.update(bytes=len(data), hash=f"sha256:{hashlib.sha256(data).hexdigest()}")
    path.write_text(json.dumps(described, ensure_ascii=False, indent=2, sort_keys=True) + "\n", "utf-8")
    found = {each.relative_to(folder).as_posix(): each for each in folder.rglob("*") if each.is_file()}
    lines = [
        f"{hashlib.sha256(found[path].read_bytes()).hexdigest()}  {path}\n"
        for path in sorted(found.keys() - {"SHA256SUMS", "SHA256SUMS.sig"})
    ]
    (folder / "SHA256SUMS").write_text("".join(lines), "utf-8")
    return folder


@pytest.fixture(scope="module")
def content(first):
    return verify(first, FORM).content


@pytest.fixture
def lone(monkeypatch):
    """Compare the tables alone, not every format: a tenth of the time."""
    monkeypatch.setattr(room, "all_formats", lambda: {"csv": all_formats()["csv"]})


def faults_of(folder: Path) -> str:
    found = verify(folder, FORM).faults
    assert all(each.endswith(".") and "Traceback" not in each for each in found), found
    return "\n".join(found)


def test_a_release_is_sound_and_counted(first):
    found = verify(first, FORM)
    assert found.faults == []
    assert found.signer == ""
    tables = sorted((first / "csv").glob("*.csv"))
    rows = sum(len(list(csv.reader(io.StringIO(each.read_text("utf-8"))))) - 1 for each in tables)
    files = sum(1 for each in first.rglob("*") if each.is_file())
    assert found.counts == {"files": files, "tables": len(tables), "rows": rows, "formats": len(all_formats())}
    assert found.content.taxa["F9002"]["verdict"] == "deadly"


def test_sealing_alone_changes_nothing(copy):
    assert faults_of(sealed(copy)) == ""


@pytest.mark.parametrize("kind", ["zip", "gztar"])
def test_an_archive_is_verified_as_its_folder(first, tmp_path, kind):
    made = shutil.make_archive(str(tmp_path / "packed"), kind, first.parent, first.name)
    assert verify(Path(made), FORM).faults == []


# Neither release has a notice yet, so their feeds are the same: test_notices.py has one that differs.
@pytest.mark.parametrize("name", sorted(all_formats().keys() - {"feed"}))
def test_a_format_of_another_release_contradicts_the_rest(copy, other, first, content, name):
    """The attacker has made all checksums true again."""
    paths = all_formats()[name].paths(content)
    for path in paths:
        shutil.copyfile(other / path, copy / path)
    assert any((first / path).read_bytes() != (other / path).read_bytes() for path in paths)
    assert faults_of(sealed(copy))


@pytest.mark.parametrize("name", sorted(all_formats()))
def test_a_missing_format_is_found(copy, content, name):
    for path in all_formats()[name].paths(content):
        (copy / path).unlink()
    assert faults_of(sealed(copy))


# Of the two left out any bit that changes a fact is found, as tests/laws tries; they have bytes that say nothing.
@pytest.mark.parametrize("name", sorted(all_formats().keys() - {"parquet", "sqlite"}))
def test_a_flipped_bit_in_a_resealed_format_is_found(copy, content, name):
    path = max(all_formats()[name].paths(content), key=lambda each: (copy / each).stat().st_size)
    data = bytearray((copy / path).read_bytes())
    data[len(data) // 2] ^= 1
    (copy / path).write_bytes(data)
    assert faults_of(sealed(copy)), path


@pytest.mark.parametrize("table", ["cautions", "confusions", "needs", "opinions", "accept_only", "taxa"])
def test_a_dropped_row_in_a_resealed_release_is_found(copy, table):
    path = copy / f"csv/{table}.csv"
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:-1]))
    assert faults_of(sealed(copy))


def test_rows_in_another_order_are_found(copy):
    path = copy / "csv/taxa.csv"
    head, *lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([head, *reversed(lines)]))
    assert "csv/taxa.csv, line 2: not written as a release writes its rows." in faults_of(sealed(copy))


@pytest.mark.parametrize(
    ("table", "old", "new", "words"),
    [
        ("taxa", "deadly", "safe", "taxa, row 2, verdict: `safe` is not a word"),
        ("taxa", "Fictum letale", "=HYPERLINK(1)", "would run `=HYPERLINK(1)` as a formula"),
        ("cautions", "F9001", "F9999", "leads to no row of another table"),
        ("needs", "discard-stems", "cook-thoroughly", "each row has a key of its own"),
    ],
)
def test_a_cell_that_the_schema_forbids_is_told_with_its_place(copy, table, old, new, words):
    path = copy / f"csv/{table}.csv"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    assert words in faults_of(sealed(copy))


def test_a_file_beside_the_release_is_found(copy):
    (copy / "csv/more.csv").write_bytes(b"harm")
    assert "csv/more.csv is not named in SHA256SUMS" in faults_of(copy)
    assert "csv/more.csv belongs to no format of a release" in faults_of(sealed(copy))


@pytest.mark.parametrize("path", ["news.md", "README.md", "provenance.json", "SHA256SUMS", "datapackage.json"])
def test_a_missing_file_is_found(copy, lone, path):
    (copy / path).unlink()
    assert path in faults_of(copy)


def test_a_checksum_that_stands_twice_is_found(copy):
    sums = copy / "SHA256SUMS"
    sums.write_bytes(sums.read_bytes() + sums.read_bytes().splitlines(keepends=True)[0])
    assert "is named twice" in faults_of(copy)


def changed(folder: Path, name: str, change) -> Path:
    path = folder / name
    found = json.loads(path.read_text("utf-8"))
    change(found)
    path.write_text(json.dumps(found, ensure_ascii=False, indent=2, sort_keys=True) + "\n", "utf-8")
    return sealed(folder)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d["counts"].update(taxa=6), "/counts/taxa"),
        (lambda d: d["content"].update(sha256="0" * 64), "/content/sha256"),
        (lambda d: d["schema"].update(sha256="0" * 64), "/schema/sha256"),
        (lambda d: d["schema"].update(since="new"), "no version of the table schemas"),
        (lambda d: d.update(safety="Safe to eat."), "/safety"),
        (lambda d: d.update(version="9.9.9"), "/version"),
        (lambda d: d.update(similarity_threshold="low"), "no number"),
        (lambda d: d.clear(), "lacks /name"),
        (lambda d: d.update(tool=7), "/tool"),
        (lambda d: d.update(schema=[]), "schema"),
    ],
)
def test_a_provenance_that_lies_is_found(copy, lone, change, words):
    assert words in faults_of(changed(copy, "provenance.json", change))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d["resources"].pop(), "datapackage.json"),
        (lambda d: d["resources"][0].update(path="http://localhost/x.csv"), "leads out of the package"),
        (lambda d: d["resources"][0].update(schema="http://localhost/x.json"), "written out"),
        (lambda d: d.update({"$schema": "http://localhost/profile.json"}), "/$schema"),
        (lambda d: d.update(version="0.1.1"), "tells of another version"),
        (lambda d: d.update(name="other"), "datapackage.json"),
        (lambda d: d.update(contributors=7), "cannot be compared"),
        (lambda d: d.update(licenses=None), "cannot be compared"),
        (lambda d: d.pop("title"), "cannot be compared"),
        (lambda d: d["resources"][0]["schema"]["primaryKey"].append("x"), "made with another schema"),
    ],
)
def test_a_descriptor_that_lies_is_found(copy, lone, change, words):
    path = copy / "datapackage.json"
    found = json.loads(path.read_text("utf-8"))
    change(found)
    path.write_text(json.dumps(found, ensure_ascii=False, indent=2, sort_keys=True) + "\n", "utf-8")
    assert words in faults_of(copy)


@pytest.mark.parametrize("error", [ValueError("broken"), pl.exceptions.PolarsError("broken"), RecursionError("deep")])
def test_a_format_that_stumbles_is_a_fault_and_no_traceback(first, lone, monkeypatch, error):
    def stumble(*_: object) -> None:
        raise error

    monkeypatch.setattr(room, "readme", stumble)
    assert "cannot be compared with its pages" in faults_of(first)


def test_an_unsigned_release_is_told_as_such(first, tmp_path):
    assert verify(first, FORM).notes == ["Not signed."]
    found = verify(first, FORM, tmp_path / "signers", WHO)
    assert found.faults == ["SHA256SUMS.sig is missing: nobody has signed the package. Do not use it."]


@pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen of OpenSSH is not installed")
def test_a_signed_release(copy, tmp_path):
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", tmp_path / "key"], check=True, timeout=60)
    (tmp_path / "signers").write_text(f"{WHO} {(tmp_path / 'key.pub').read_text()}")
    add_signature(sign((copy / "SHA256SUMS").read_bytes(), tmp_path / "key"), copy)
    unasked = verify(copy, FORM)
    assert unasked.faults == []
    assert "not checked" in unasked.notes[0]
    asked = verify(copy, FORM, tmp_path / "signers", WHO)
    assert (asked.faults, asked.signer) == ([], WHO)
    (copy / "LICENSE").write_text("Do as you like.\n")
    spoilt = verify(sealed(copy), FORM, tmp_path / "signers", WHO)
    assert spoilt.signer == ""
    assert "not made for these checksums" in spoilt.faults[0]


@pytest.mark.parametrize("path", ["LICENSE", "news.md"])
def test_what_only_a_signature_can_find(copy, path):
    """What the tables do not say, and a whole other release: its checksums were made for it."""
    (copy / path).write_bytes((copy / path).read_bytes() + b"Changed.\n")
    assert path in faults_of(copy)
    assert faults_of(sealed(copy)) == ""


def test_a_whole_other_release_needs_the_rules_or_a_signature(other):
    assert verify(other, FORM).faults == []


@pytest.mark.parametrize(
    ("path", "old", "new"),
    [
        ("news.md", b"F9002 Fictum letale: new entry, Deadly", b"F9002 Fictum letale: new entry, Edible"),
        ("news.md", b"## New (5)", b"Everything here is safe to eat.\n\n## New (5)"),
        ("news.json", b'"new entry, Deadly"', b'"new entry, Edible"'),
        ("news.json", b'"safety_note":"Sporeproof', b'"safety_note":"","was":"Sporeproof'),
    ],
)
def test_news_that_the_tables_contradict_are_found_in_a_first_version(copy, path, old, new):
    place = copy / path
    assert old in place.read_bytes()
    place.write_bytes(place.read_bytes().replace(old, new, 1))
    assert "does not tell what" in faults_of(sealed(copy))


def test_the_page_of_a_later_version_is_held_against_its_news(first, tmp_path):
    def change(e):
        e.entries["F9001"]["edibility"]["cautions"].append("not-for-beginners")

    later = published(FORM, tmp_path, change, first).folder
    assert verify(later, FORM).faults == []
    page = later / "news.md"
    page.write_bytes(page.read_bytes().replace(b"new caution: Not for beginners", b"a caution less"))
    assert verify(sealed(later), FORM).faults == ["news.md does not tell what news.json and the tables say."]
