"""The changes of a version for programs: the groups of the news, each change with all that the data says of it."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.changes import Change
from sporeproof.release.nested import one_line
from sporeproof.release.news import GROUPS
from sporeproof.release.strictness import Kind
from sporeproof.release.version import Version
from sporeproof.tables.build import BETWEEN

SCHEMA = 1


def news_json(version: Version, previous: str, changes: list[Change]) -> bytes:
    """Return ``news.json``; ``previous`` is empty for a first version. The keys change only with ``schema``.

    groups: safety, withdrawn, names, new, changed; of each change: kind, table, taxon_id, name, with_taxon_id,
    with_name, column, key, old, new, source_ids (a list), reason, text. What is empty is not known, or not given.
    """
    told: dict[str, Any] = {
        "schema": SCHEMA,
        "version": version.number,
        "previous": previous or None,
        "raised": version.raised or None,
        "because": version.because or None,
        "safety_note": SAFETY_NOTE,
        "groups": {name: [_change(each) for each in changes if each.kind in kinds] for name, kinds in GROUPS.items()},
    }
    return one_line(told)


def read_news(data: bytes) -> tuple[Version, str, list[Change]]:
    """Return the version, the one before it (empty for none) and the changes that a ``news.json`` tells."""
    told = json.loads(data)
    version = Version(told["version"], told["raised"] or "", told["because"] or "")
    changes = [
        Change(
            **{
                **each,
                "kind": Kind(each["kind"]),
                "key": tuple(each["key"]),
                "source_ids": BETWEEN.join(each["source_ids"]),
            }
        )
        for group in told["groups"].values()
        for each in group
    ]
    return version, told["previous"] or "", changes


def _change(change: Change) -> dict[str, Any]:
    return asdict(change) | {
        "kind": change.kind.value,
        "source_ids": list(filter(None, change.source_ids.split(BETWEEN))),
    }
