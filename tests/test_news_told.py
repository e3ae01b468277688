"""What got stricter since a version is told only where a release knows it, and in the order of the versions."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path
from types import SimpleNamespace

import polars as pl
import pytest

from sporeproof import news_told
from sporeproof.findings import SAFETY_NOTE
from sporeproof.run import Stopped
from tests.conftest import ROOT
from tests.release.edition import published


@pytest.fixture(scope="module")
def first(form, tmp_path_factory):
    return published(form, tmp_path_factory.mktemp("first")).folder


@pytest.mark.parametrize("since", ["1.0.0-alpha", "v1.0.0", "1.02.0", "1.0", ""])
def test_what_is_no_version_of_the_data_is_refused(first, since):
    """Pre-releases among them: there are none of this data."""
    with pytest.raises(Stopped, match="is no version of the data"):
        news_told.notices(first, since)


def test_a_newer_version_is_refused(first):
    with pytest.raises(Stopped, match=r"0\.1\.1 is newer than"):
        news_told.notices(first, "0.1.1")


def test_a_release_without_notices_never_reads_as_nothing_got_stricter(tmp_path):
    """The release of an earlier program, kept for its readers, has no such table."""
    with zipfile.ZipFile(ROOT / "tests/release/readers/fernhollow-data-0.1.0.zip") as archive:
        archive.extractall(tmp_path)
    with pytest.raises(Stopped, match=r"holds no table of notices\. Read everything anew"):
        news_told.notices(tmp_path / "fernhollow-data-0.1.0", "0.1.0")


def test_the_notices_of_a_real_release_are_told(form, first, tmp_path):
    def change(e):
        e.entries["F9001"]["edibility"]["cautions"].append("not-for-beginners")

    after = published(form, tmp_path, change, first).folder
    told = news_told.notices(after, "0.1.0")
    assert "0.2.0: F9001 Fictum commune: new caution: Not for beginners" in told
    assert news_told.notices(after, "0.2.0").startswith("0 recorded as stricter after 0.2.0")
    assert news_told.newest(tmp_path) == after


def release_of(monkeypatch, given, known):
    """Have a release with these notices read in the place of any folder."""
    rows = [{"notice_id": each, "version": each, "taxon_id": "F9001", "name": "Fictum", "text": "x"} for each in given]
    files = {"provenance.json": json.dumps({"notices": {"complete_since": known}}).encode()}
    found = SimpleNamespace(version="2.10.0", frames={"notices": pl.DataFrame(rows)}, files=files)
    monkeypatch.setattr("sporeproof.release.read.read_package", lambda _: found)


@pytest.mark.parametrize(("since", "known"), [("0.9.0", "1.0.0"), ("2.0.0", "2.9.0"), ("2.0.0", None)])
def test_a_version_from_before_what_is_known_is_sent_to_read_everything(monkeypatch, since, known):
    release_of(monkeypatch, ["2.10.0"], known)
    with pytest.raises(Stopped, match=f"between {since} and .* is not known here"):
        news_told.notices(Path("x"), since)


def test_versions_are_compared_number_by_number(monkeypatch):
    """semver.org 2.0.0, item 11: 1.0.0 < 2.0.0 < 2.1.0 < 2.1.1 (from memory); and 2.10.0 is later than 2.9.0."""
    given = ["2.1.1", "2.10.0", "1.0.0", "2.9.0", "2.0.0", "2.1.0"]
    release_of(monkeypatch, given, "1.0.0")
    lines = news_told.notices(Path("x"), "1.0.0").splitlines()
    assert [each.partition(":")[0] for each in lines[1:]] == ["2.0.0", "2.1.0", "2.1.1", "2.9.0", "2.10.0"]
    assert lines[1] == "2.0.0: F9001 Fictum: x"


def test_the_newest_release_is_found_by_its_number(tmp_path):
    with pytest.raises(Stopped, match="holds no release"):
        news_told.newest(tmp_path)
    for each in ("data-0.9.0", "data-0.10.0"):
        (tmp_path / each).mkdir()
        (tmp_path / each / "datapackage.json").touch()
    assert news_told.newest(tmp_path).name == "data-0.10.0"


def test_markdown_and_json_hold_the_safety_note_and_every_notice(monkeypatch):
    release_of(monkeypatch, ["2.10.0"], "1.0.0")
    assert json.loads(news_told.notices(Path("x"), "2.9.0", "json"))["safety_note"] == SAFETY_NOTE
    told = news_told.notices(Path("x"), "2.9.0", "markdown")
    assert told.startswith(f"> {SAFETY_NOTE}")
    assert told.endswith("- 2\\.10.0: F9001 Fictum: x\n")


def test_a_notice_of_no_version_is_never_left_out_in_silence(monkeypatch):
    release_of(monkeypatch, ["2.10.0", "soon"], "1.0.0")
    with pytest.raises(Stopped, match="holds a notice without the version"):
        news_told.notices(Path("x"), "2.9.0")
