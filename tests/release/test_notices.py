"""What got stricter is kept from version to version, each notice under an id that stays; and the news for programs."""

from __future__ import annotations

import csv
import json
import zipfile
from pathlib import Path

import pytest

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.content import Content
from sporeproof.release.formats.to_feed import amiss
from sporeproof.release.notices import NOTICED, TABLE
from sporeproof.release.read import read_package
from tests.release.edition import Edition, published


def poisonous(e: Edition) -> None:
    e.entries["F9005"]["edibility"] = {
        "verdict": "poisonous",
        "opinions": [{"verdict": "poisonous", "source": "fern-2001"}],
    }


def and_cautious(e: Edition) -> None:
    poisonous(e)
    e.entries["F9001"]["edibility"]["cautions"].append("not-for-beginners")
    e.entries["F9001"]["confusions"].append({"with": "Fictum vetus", "note": "Both brown", "source": ["fern-2001"]})


@pytest.fixture(scope="module")
def three(form, tmp_path_factory) -> list[Path]:
    """Three versions: the first, one verdict stricter, a caution and a confusion more."""
    out = tmp_path_factory.mktemp("three")
    first = published(form, out / "a").folder
    second = published(form, out / "b", poisonous, first).folder
    return [first, second, published(form, out / "c", and_cautious, second).folder]


def rows(folder: Path) -> list[dict[str, str]]:
    with (folder / "csv/notices.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def whence(folder: Path) -> dict:
    return json.loads((folder / "provenance.json").read_bytes())["notices"]


def test_a_first_version_has_none_and_knows_all_from_there_on(three):
    assert rows(three[0]) == []
    assert whence(three[0]) == {"complete_since": "0.1.0", "count": 0}


def test_a_stricter_verdict_is_a_notice_with_old_and_new_and_its_source(three):
    (row,) = rows(three[1])
    assert row == {
        "notice_id": "0.2.0/taxa/F9005/verdict", "version": "0.2.0", "kind": "stricter", "taxon_id": "F9005",
        "name": "Fictum bonum", "with_taxon_id": "", "with_name": "", "table": "taxa", "column": "verdict",
        "old": "edible", "new": "poisonous", "source_ids": "fern-2001", "reason": "Fern 2001, invented",
        "text": "the verdict was Edible, is now Poisonous",
    }  # fmt: skip


def test_later_versions_carry_earlier_notices_on_as_they_were(three):
    later = rows(three[2])
    assert rows(three[1])[0] in later
    assert {row["notice_id"] for row in later} == {
        "0.2.0/taxa/F9005/verdict",
        "0.3.0/cautions/F9001/not-for-beginners",
        "0.3.0/confusions/F9001/F9004",
    }
    assert whence(three[2]) == {"complete_since": "0.1.0", "count": 3}
    (pair,) = (row for row in later if row["table"] == "confusions")
    assert (pair["kind"], pair["new"], pair["with_name"]) == ("danger", "F9004", "Fictum vetus")
    assert pair["reason"] == "Both brown Fern 2001, invented"


def test_an_unchanged_version_keeps_its_notices(form, three, tmp_path):
    again = published(form, tmp_path, and_cautious, three[2])
    assert again.version == "0.3.0"
    assert rows(again.folder) == rows(three[2])
    assert (again.folder / "SHA256SUMS").read_bytes() == (three[2] / "SHA256SUMS").read_bytes()


def test_a_release_without_a_history_starts_one_and_says_so(form, three, tmp_path):
    """As one that was made before there were notices: what got stricter before it is not known."""
    kept = Path(__file__).parent / "readers/fernhollow-data-0.1.0.zip"
    with zipfile.ZipFile(kept) as archive:
        archive.extractall(tmp_path)
    after = published(form, tmp_path / "new", poisonous, tmp_path / "fernhollow-data-0.1.0")
    assert whence(after.folder) == {"complete_since": "0.1.0", "count": 1}
    assert [row["notice_id"] for row in rows(after.folder)] == [f"{after.version}/taxa/F9005/verdict"]


def test_what_gets_milder_is_no_notice(form, three, tmp_path):
    def milder(e: Edition) -> None:
        and_cautious(e)
        e.entries["F9001"]["edibility"]["needs"].pop()

    after = published(form, tmp_path, milder, three[2])
    assert after.version == "1.0.0"
    assert rows(after.folder) == rows(three[2])


def test_a_merger_into_a_dangerous_one_is_stricter(form, three, tmp_path):
    after = published(form, tmp_path, lambda e: e.retire("F9005", replaced_by=["F9002"]), three[0])
    (row,) = rows(after.folder)
    assert (row["kind"], row["old"], row["new"], row["reason"]) == ("stricter", "edible", "F9002", "One and the same")
    assert row["text"].endswith("the verdict was Edible and is now Deadly")


def test_kinds_of_notices_are_the_words_of_their_vocabulary(form):
    assert [each.value for each in NOTICED] == list(form.vocabularies[TABLE])


# The news for programs


def test_the_groups_hold_every_change_once(three):
    told = json.loads((three[2] / "news.json").read_bytes())
    assert (told["version"], told["previous"], told["raised"]) == ("0.3.0", "0.2.0", "minor")
    assert told["safety_note"] == SAFETY_NOTE
    assert list(told["groups"]) == ["safety", "withdrawn", "names", "new", "changed"]
    assert [(each["kind"], each["table"]) for each in told["groups"]["safety"]] == [
        ("stricter", "cautions"),
        ("danger", "confusions"),
    ]
    assert told["because"] in (three[2] / "news.md").read_text("utf-8")


def test_the_first_news_lists_the_entries(three):
    told = json.loads((three[0] / "news.json").read_bytes())
    assert told["previous"] is None
    assert [each["taxon_id"] for each in told["groups"]["new"]] == ["F9001", "F9002", "F9003", "F9004", "F9005"]


# The feed


def test_the_feed_has_an_item_a_notice_the_newest_first(three):
    """JSON Feed 1.1 (jsonfeed.org, from memory): version, title and items are required, and of an item its id."""
    feed = json.loads((three[2] / "feed.json").read_bytes())
    assert feed["version"] == "https://jsonfeed.org/version/1.1"
    assert {each["id"] for each in feed["items"]} == {row["notice_id"] for row in rows(three[2])}
    assert [each["tags"][1] for each in feed["items"]] == ["0.3.0", "0.3.0", "0.2.0"]
    assert all(each["content_text"].endswith(SAFETY_NOTE) for each in feed["items"])
    assert "before 0.1.0 is not known" in feed["description"]


def test_a_feed_that_says_otherwise_is_told(form, three):
    found = read_package(three[2])
    provenance = json.loads(found.files["provenance.json"])
    words = {"title": "The checklist of the Fernhollow Fungus Group"}
    content = Content(found.frames, form, words, found.version, provenance)
    files = dict(found.files)
    assert list(amiss(files, content)) == []
    files["feed.json"] = files["feed.json"].replace(b"is now Poisonous", b"is now Edible")
    (said,) = amiss(files, content)
    assert "items/2/content_text" in said
    del files["feed.json"]
    assert list(amiss(files, content)) == ["feed.json is missing."]
