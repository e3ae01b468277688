"""Whence a version comes: what made it, from what, and how well it is known. There is no clock in it."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from typing import Any

from sporeproof import __version__
from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.release.contract import published
from sporeproof.release.formats.to_csv import csv_of
from sporeproof.release.notices import TABLE
from sporeproof.tables.faults import Frames

TOOL = "sporeproof"
COUNTED = {"verdict": "verdicts", "review_state": "review-states", "evidence": "evidence"}


def provenance(
    frames: Frames, form: Form, words: dict[str, Any], version: str, since: str, complete_since: str
) -> dict[str, Any]:
    """Return what is said of a version as a whole.

    ``since`` is the version that brought today's table schemas, ``complete_since`` the one after which the notices hold
    whatever got stricter.

    ``content.sha256`` is the checksum of the lines ``sha256(csv)  path`` of all tables but the history of notices, so
    that anybody can compute it again from the package with ``sha256sum``.
    """
    return {
        "name": words["name"],
        "version": version,
        "tool": {"name": TOOL, "version": __version__},
        "schema": {"since": since, "sha256": schema_hash(form)},
        "content": {"sha256": content_hash(frames, form)},
        "checklists": checklists(frames),
        TABLE: {"complete_since": complete_since, "count": frames[TABLE].height},
        "counts": {"taxa": frames["taxa"].height} | {name: _counted(frames, form, name) for name in COUNTED},
        "similarity_threshold": words.get("similarity_threshold"),
        "safety": SAFETY_NOTE,
    }


def schema_hash(form: Form) -> str:
    """Return the checksum of all table schemas as they are published."""
    schemas = {name: published(schema) for name, schema in form.tables.items()}
    return hashlib.sha256(json.dumps(schemas, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def content_hash(frames: Frames, form: Form) -> str:
    """Return the checksum of what the version says."""
    sums = {
        f"csv/{name}.csv": hashlib.sha256(csv_of(frame, form.tables[name])).hexdigest()
        for name, frame in frames.items()
        if name != TABLE  # it tells of versions before this one: the same content may have another history
    }
    return hashlib.sha256("".join(f"{sums[path]}  {path}\n" for path in sorted(sums)).encode()).hexdigest()


def checklists(frames: Frames) -> list[dict[str, Any]]:
    """Return whom the names were held against: how many of them, and the first and the last day; empty for nobody."""
    found: dict[tuple[str, str], list[str]] = {}
    for row in frames["names"].iter_rows(named=True):
        day = row["checked_on"].isoformat() if row["checked_on"] else ""
        found.setdefault((row["checked_against"] or "", row["obtained"] or ""), []).append(day)
    return [
        {"checklist": one, "obtained": how, "names": len(days), "first": min(days), "last": max(days)}
        for (one, how), days in sorted(found.items())
    ]


def _counted(frames: Frames, form: Form, column: str) -> dict[str, int]:
    """Return how many taxa have each word of a column; a word that none has counts nought."""
    counts = Counter(frames["taxa"][column])
    return {word: counts[word] for word in form.vocabularies[COUNTED[column]]}
