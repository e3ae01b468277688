"""The feed, read by a feed reader that is not ours: atoma (PyPI, MIT), which reads JSON Feed (jsonfeed.org)."""

from __future__ import annotations

import atoma
import pytest

from sporeproof.release.notices import NOTICED
from tests.release.edition import published
from tests.release.test_notices import and_cautious, rows


@pytest.fixture(scope="module")
def folder(form, tmp_path_factory):
    out = tmp_path_factory.mktemp("feed")
    return published(form, out / "b", and_cautious, published(form, out / "a").folder).folder


def test_the_reader_finds_every_notice(folder):
    feed = atoma.parse_json_feed_file(str(folder / "feed.json"))
    assert feed.title == "The checklist of the Fernhollow Fungus Group: what got stricter"
    found = {each.id_: each for each in feed.items}
    wanted = {row["notice_id"]: row for row in rows(folder)}
    assert found.keys() == wanted.keys()
    assert len(found) == 3
    for id, item in found.items():
        assert wanted[id]["text"] in item.content_text
        assert item.tags[0] in {each.value for each in NOTICED}


def test_the_reader_can_say_no(folder):
    with pytest.raises(atoma.FeedParseError):
        atoma.parse_json_feed_bytes(b'{"items": []}')
