"""The data that the packages for programmers carry, the same files in each: a record a taxon, and one index.

The index leads every name that was ever used to the taxa it may mean. It holds no verdict: that stands in the record
of its taxon, with all that it hangs on.
"""

from __future__ import annotations

import unicodedata
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.content import Content, Files
from sporeproof.release.nested import SCHEMA, catalogue, one_line, records, retired, sources
from sporeproof.release.notices import TABLE

INDEX = "index.json"


def carried(content: Content) -> Files:
    """Return the data files by path: ``index.json``, ``catalogue.json``, ``notices.json``, ``taxa/<id>.json``."""
    return {
        INDEX: one_line(_index(content)),
        "catalogue.json": one_line({"characters": catalogue(content), "sources": sources(content)}),
        "notices.json": one_line(list(content.rows.get(TABLE, ()))),
        **{f"taxa/{id}.json": line for id, line in records(content).items()},
    }


def spelled(name: str) -> str:
    """Return a name as the index spells it: NFC, lower case, single spaces.

    >>> spelled(" Boletus  Edulis ")
    'boletus edulis'
    """
    return " ".join(unicodedata.normalize("NFC", name).lower().split())


def _index(content: Content) -> dict[str, Any]:
    verdicts = content.form.vocabularies["verdicts"]
    return {
        "schema": SCHEMA,
        "version": content.version,
        "safety_note": SAFETY_NOTE,
        "provenance": content.provenance,
        "licence": content.words["licence"],
        "verdicts": list(verdicts),
        "edible": [id for id in verdicts if content.form.is_edible(id)],
        "taxa": list(content.taxa),
        "reviewed": [id for id, row in content.taxa.items() if _is_reviewed(content, row)],
        "names": _names(content),
        "retired": retired(content),
    }


def _is_reviewed(content: Content, row: dict[str, Any]) -> bool:
    return content.form.flagged("review-states", row["review_state"], "vouched")


def _names(content: Content) -> dict[str, list[list[str]]]:
    """Return ids and roles by name, with and without authors; all that a name may mean, whatever is likeliest."""
    found: dict[str, set[tuple[str, str]]] = {}
    for row in content.rows["names"]:
        for word in (row["name"], f"{row['name']} {row['authorship'] or ''}"):
            found.setdefault(spelled(word), set()).add((row["taxon_id"], row["role"]))
    for row in content.rows["vernaculars"]:
        found.setdefault(spelled(row["name"]), set()).add((row["taxon_id"], "vernacular"))
    for id, row in retired(content).items():
        for each in row["successors"]:
            found.setdefault(spelled(row["was"]), set()).add((each, "retired"))
            found.setdefault(spelled(id), set()).add((each, "retired"))
    return {name: [list(each) for each in sorted(found[name])] for name in sorted(found)}
