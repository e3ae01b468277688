"""Whatever got stricter, as a JSON Feed that feed readers follow, the newest version first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.content import Content, Files, Row
from sporeproof.release.nested import one_line
from sporeproof.release.notices import TABLE
from sporeproof.release.parting import other_json
from sporeproof.release.version import numbers

PATH = "feed.json"
# jsonfeed.org, version 1.1 (from memory). A day is not needed there, and there is no clock in a release.
VERSION = "https://jsonfeed.org/version/1.1"


def to_feed(content: Content) -> Files:
    """Return the feed: one item a notice, its id that of the notice."""
    return {PATH: one_line(_feed(content))}


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield what the feed lacks, adds or says otherwise than the table of notices."""
    wanted = to_feed(content)[PATH]
    if PATH not in files:
        yield f"{PATH} is missing."
    elif files[PATH] != wanted:
        yield f"{PATH} {other_json(files[PATH], wanted)}."


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [PATH]


def _feed(content: Content) -> dict[str, Any]:
    homepage = {"home_page_url": content.words["homepage"]} if content.words.get("homepage") else {}
    known = content.provenance["notices"]["complete_since"]
    rows = sorted(content.rows[TABLE], key=lambda row: (numbers(row["version"]), row["notice_id"]), reverse=True)
    return {
        "version": VERSION,
        "title": f"{content.words['title']}: what got stricter",
        "description": f"Up to version {content.version}; what got stricter before {known} is not known. {SAFETY_NOTE}",
        **homepage,
        "language": "en",
        "items": [_item(row) for row in rows],
    }


def _item(row: Row) -> dict[str, Any]:
    about = " ".join(filter(None, [row["taxon_id"], row["name"]]))
    reason = f"{row['reason'].rstrip('.')}." if row["reason"] else ""
    told = [f"{about}: {row['text']}." if about else f"{row['text']}.", reason, SAFETY_NOTE]
    return {
        "id": row["notice_id"],
        "title": f"{row['version']}: {about or row['table']}",
        "content_text": " ".join(filter(None, told)),
        "tags": [row["kind"], row["version"]],
    }
