"""Each taxon as one JSON file, all of them as one, the schema of a taxon, and how well the version is known."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.content import Content, Files
from sporeproof.release.json_schema import taxa_schema, taxon_schema
from sporeproof.release.nested import SCHEMA, catalogue, one_line, records, retired, sources

ALL = "json/taxa.json"
MOST_TOLD = 20


def to_json(content: Content) -> Files:
    """Return the JSON files, by path; keys stand in the order of :mod:`sporeproof.release.nested`."""
    taxa = records(content)
    return {
        **{f"json/taxa/{id}.json": line for id, line in taxa.items()},
        ALL: _together(content, taxa),
        "json/taxon.schema.json": one_line(taxon_schema(content.form)),
        "json/taxa.schema.json": one_line(taxa_schema()),
    }


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each JSON file that is missing or says anything else than the tables."""
    told = 0
    for path, wanted in to_json(content).items():
        if files.get(path) != wanted and (said := _said(path, files.get(path), json.loads(wanted))):
            yield said
            told += 1
        if told == MOST_TOLD:
            return


def _together(content: Content, taxa: dict[str, bytes]) -> bytes:
    """Return all taxa in one text, a line each, after what is said of the version as a whole."""
    head = {
        "schema": SCHEMA,
        "safety_note": SAFETY_NOTE,
        "provenance": content.provenance,
        "licence": content.words["licence"],
        "retired": retired(content),
        "catalogue": catalogue(content),
        "sources": sources(content),
    }
    lines = b",".join(taxa.values())
    return b"".join((one_line(head).rstrip()[:-1], b',"taxa":[\n', lines, b"]}\n"))


def _said(path: str, data: bytes | None, wanted: Any) -> str:
    """Return what a file says otherwise, in a sentence; it is at least not written as it should be."""
    if data is None:
        return f"{path} is missing."
    try:
        found = json.loads(data)
    except (ValueError, RecursionError) as error:
        return f"{path} cannot be read as JSON: {error}."
    where = _first_other(found, wanted, "")
    return f"{path}: {where or 'the same facts, but not written as a release writes them'}."


def _first_other(found: Any, wanted: Any, at: str) -> str:
    """Return where two values part, in words; empty where they do not."""
    if isinstance(found, dict) and isinstance(wanted, dict):
        for key in [*wanted, *(key for key in found if key not in wanted)]:
            if key not in found or key not in wanted:
                return f"{at}/{key} is {'missing' if key in wanted else 'not in the tables'}"
            if where := _first_other(found[key], wanted[key], f"{at}/{key}"):
                return where
        return ""
    if isinstance(found, list) and isinstance(wanted, list):
        if len(found) != len(wanted):
            return f"{at} lists {len(found)} where the tables list {len(wanted)}"
        pairs = enumerate(zip(found, wanted, strict=True))
        return next((where for n, (a, b) in pairs if (where := _first_other(a, b, f"{at}/{n}"))), "")
    same = type(found) is type(wanted) and found == wanted
    return "" if same else f"{at} says {found!r:.60} where the tables say {wanted!r:.60}"
