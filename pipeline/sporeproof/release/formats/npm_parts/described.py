"""What describes the npm package: package.json, and the page that people read.

Source: docs.npmjs.com, "package.json", and nodejs.org, "Modules: Packages" (exports by condition).
"""

from __future__ import annotations

import json
from string import Template
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.content import Content
from sporeproof.release.formats.npm_parts import source

CODE_LICENCE = "Apache-2.0"
NODE = ">=18"


def package_json(content: Content) -> bytes:
    """Return package.json; there are no dependencies in it, and no scripts."""
    return (json.dumps(_package(content), ensure_ascii=False, indent=2) + "\n").encode()


def page(content: Content) -> bytes:
    """Return the README of the package."""
    words, licence, counts = content.words, content.words["licence"], content.provenance["counts"]
    id, row = next(iter(content.taxa.items()), ("F0000", {"name": "a name"}))
    states = counts["review_state"].items()
    told: dict[str, Any] = {
        "title": words["title"],
        "name": words["name"],
        "version": content.version,
        "safety": SAFETY_NOTE,
        "example": row["name"],
        "id": id,
        "reviewed": sum(n for word, n in states if content.form.flagged("review-states", word, "vouched")),
        "taxa": counts["taxa"],
        "licence": licence["name"],
        "licence_title": licence["title"],
        "licence_path": licence["path"],
        "contributors": ", ".join(_contributors(content)),
    }
    return Template(source.page()).substitute({name: _one_line(value) for name, value in told.items()}).encode()


def _package(content: Content) -> dict[str, Any]:
    words = content.words
    return {
        "name": words["name"],
        "version": content.version,
        "description": f"{_one_line(words['title'])}. {SAFETY_NOTE}",
        "license": f"({CODE_LICENCE} AND {words['licence']['name']})",
        "contributors": [{"name": each} for each in _contributors(content)],
        "type": "commonjs",
        "engines": {"node": NODE},
        "main": "./index.cjs",
        "types": "./index.d.cts",
        "exports": {
            ".": {
                "import": {"types": "./index.d.mts", "default": "./index.mjs"},
                "require": {"types": "./index.d.cts", "default": "./index.cjs"},
            },
            "./package.json": "./package.json",
        },
        "sideEffects": False,
    }


def _contributors(content: Content) -> list[str]:
    return [_one_line(each["title"]) for each in content.words["contributors"]]


def _one_line(value: object) -> str:
    return " ".join(str(value).split())
