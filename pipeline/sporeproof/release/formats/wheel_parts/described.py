"""What describes a wheel: METADATA (core metadata 2.4, PEP 643 and 639), WHEEL and RECORD (PEP 427)."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Mapping
from string import Template
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.content import Content
from sporeproof.release.formats.wheel_parts import source

CODE_LICENCE = "Apache-2.0"
PYTHON = ">=3.10"
TAG = "py3-none-any"


def normalised(name: str) -> str:
    """Return the name of a project as the name of a wheel holds it (PEP 503 and 427).

    >>> normalised("Fernhollow.-Data")
    'fernhollow_data'
    """
    return re.sub(r"[-_.]+", "_", name).lower()


def metadata(content: Content) -> bytes:
    """Return METADATA; the licence of the data is the one that the dataset names."""
    words = content.words
    heads = {
        "Metadata-Version": "2.4",
        "Name": words["name"],
        "Version": content.version,
        "Summary": words["title"],
        "License-Expression": f"{CODE_LICENCE} AND {words['licence']['name']}",
        "License-File": source.LICENCE,
        "Requires-Python": PYTHON,
        "Description-Content-Type": "text/markdown; charset=UTF-8",
    }
    lines = [f"{name}: {_one_line(value)}" for name, value in heads.items()]
    return ("\n".join(lines) + "\n\n" + page(content)).encode()


def page(content: Content) -> str:
    """Return the README of the package."""
    words, licence, counts = content.words, content.words["licence"], content.provenance["counts"]
    id, row = next(iter(content.taxa.items()), ("F0000", {"name": "a name"}))
    reviewed = (
        n for word, n in counts["review_state"].items() if content.form.flagged("review-states", word, "vouched")
    )
    told: dict[str, Any] = {
        "title": words["title"],
        "version": content.version,
        "safety": SAFETY_NOTE,
        "example": row["name"],
        "id": id,
        "reviewed": sum(reviewed),
        "taxa": counts["taxa"],
        "licence": licence["name"],
        "licence_title": licence["title"],
        "licence_path": licence["path"],
        "contributors": ", ".join(each["title"] for each in words["contributors"]),
    }
    return Template(source.readme()).substitute({name: _one_line(value) for name, value in told.items()})


def wheel(content: Content) -> bytes:
    """Return WHEEL."""
    tool = content.provenance["tool"]
    lines = [
        "Wheel-Version: 1.0",
        f"Generator: {tool['name']} {tool['version']}",
        "Root-Is-Purelib: true",
        f"Tag: {TAG}",
    ]
    return ("\n".join(lines) + "\n").encode()


def record(members: Mapping[str, bytes], path: str) -> bytes:
    """Return RECORD, a line for each file with its checksum and size; of itself (``path``) it has none."""
    return ("\n".join([*(recorded(name, data) for name, data in members.items()), f"{path},,"]) + "\n").encode()


def recorded(name: str, data: bytes) -> str:
    """Return the line of a file in RECORD."""
    checksum = base64.urlsafe_b64encode(hashlib.sha256(data).digest()).rstrip(b"=").decode()
    return f"{name},sha256={checksum},{len(data)}"


def _one_line(value: object) -> str:
    return " ".join(str(value).split())
