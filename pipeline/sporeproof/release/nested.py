"""Each taxon as one nested record, for programs that want all of it at once.

A verdict stands in one block with all that it hangs on: needs, cautions, accepted specimens, confusions, evidence and
review. A program that takes the block has the whole of it; none of its keys is ever left out.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from itertools import groupby
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.content import Content, Row, listed
from sporeproof.tables.build import DISMISSED

Record = dict[str, Any]

SCHEMA = 1
LISTS = ("source_ids", "verdict_source_ids", "hints", "read_when", "acts", "accept")


def nested(content: Content) -> Iterator[tuple[str, Record]]:
    """Yield id and record of each taxon, in the order of the ids; what is not recorded is None or empty."""
    reverse = _reverse(content)
    for id in content.taxa:
        yield id, _record(content, id, reverse.get(id, []))


@lru_cache(maxsize=1)
def records(content: Content) -> dict[str, bytes]:
    """Return the record of each taxon as one line of JSON, by id; several formats hold the same lines."""
    return {id: one_line(record) for id, record in nested(content)}


def one_line(value: Any) -> bytes:
    """Return a value as JSON in UTF-8, without blanks, and a line's end."""
    return (json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()


def retired(content: Content) -> dict[str, Record]:
    """Return the ids that have ended, each with its successors, the most cautious verdict of them first."""
    return {
        row["taxon_id"]: {
            "was": row["was"],
            "merged": bool(row["replaced_by"]),
            "successors": cautious_first(content, [*listed(row["replaced_by"]), *listed(row["consider"])]),
            "since": row["since"],
            "reason": row["reason"],
        }
        for row in content.rows["retired"]
    }


def catalogue(content: Content) -> dict[str, Record]:
    """Return the characters by id, each with what its states mean."""
    means: dict[str, dict[str, str]] = {}
    for row in sorted(content.rows["states"], key=lambda each: each["position"]):
        means.setdefault(row["character_id"], {})[row["state"]] = row["definition"]
    keys = ("title", "part", "kind", "proof", "seen_by", "unit")
    return {
        id: {**{key: row[key] for key in keys}, "states": means.get(id, {})} for id, row in content.catalogue.items()
    }


def sources(content: Content) -> dict[str, Record]:
    """Return the sources by id."""
    return {row["source_id"]: _without(row, "source_id") for row in content.rows["sources"]}


def cautious_first(content: Content, ids: list[str]) -> list[str]:
    """Return ids of taxa with the most cautious verdict first, then by id."""
    order = list(content.form.vocabularies["verdicts"])
    return sorted(ids, key=lambda each: (order.index(content.taxa[each]["verdict"]), each))


def _record(content: Content, id: str, reverse: list[Row]) -> Record:
    row = content.taxa[id]
    return {
        "schema": SCHEMA,
        "release": content.version,
        "id": id,
        **{key: row[key] for key in ("name", "authorship", "rank", "family", "region")},
        "vernacular": [_without(each) for each in content.of("vernaculars", id)],
        "review": _review(content, row),
        "edibility": _edibility(content, row, reverse),
        "proof": _proof(content, id),
        "names": [_without(each) for each in content.of("names", id)],
        "characters": list(_characters(content, id)),
        "measurements": [_measured(content, each) for each in content.of("measurements", id)],
        "settings": [_without(each) for each in content.of("settings", id)],
        "seasons": [_without(each) for each in content.of("seasons", id)],
        "uses": [_term(content, "uses", each["id"]) for each in content.of("uses", id)],
        "protections": [_without(each) for each in content.of("protections", id)],
        "safety_note": SAFETY_NOTE,
    }


def _review(content: Content, row: Row) -> Record:
    state = row["review_state"]
    vouched = content.form.flagged("review-states", state, "vouched")
    return {**_term(content, "review-states", state), "reviewed": vouched, "on": _plain(row["reviewed_on"])}


def _edibility(content: Content, row: Row, reverse: list[Row]) -> Record:
    """Return the verdict with all that it hangs on. There is no yes or no in it: a missing one would read as no."""
    id = row["taxon_id"]
    own = content.of("confusions", id)
    there = {each["with_taxon_id"] for each in own if each["listed"] != DISMISSED}
    return {
        "verdict": _term(content, "verdicts", row["verdict"]),
        "severity": row["severity"],
        "evidence": _term(content, "evidence", row["evidence"]),
        "verdict_source_ids": listed(row["verdict_source_ids"]),
        "needs": [_term(content, "needs", each["id"]) for each in content.of("needs", id)],
        "cautions": [_term(content, "cautions", each["id"]) for each in content.of("cautions", id)],
        "accept_only": list(_accepted(content, id)),
        "confusions": _ranked(
            [
                *(_confusion(content, each, each["with_taxon_id"]) for each in own if each["listed"] != DISMISSED),
                *(_confusion(content, each, each["taxon_id"]) for each in reverse if each["taxon_id"] not in there),
            ],
            content,
        ),
        "answered": [_answered(content, each) for each in own if each["listed"] == DISMISSED],
        "syndromes": [_syndrome(content, each["syndrome_id"]) for each in content.of("taxa_syndromes", id)],
        "opinions": [_without(each) for each in content.of("opinions", id)],
        "grade": _term(content, "grades", row["grade"]) if row["grade"] else None,
        "grade_reason": row["grade_reason"],
        "review_state": row["review_state"],
    }


def _accepted(content: Content, id: str) -> Iterator[Record]:
    """Yield the specimens that the verdict covers, one record a character."""
    states: dict[str, list[str]] = {}
    for each in content.of("accept_only", id):
        states.setdefault(each["character_id"], []).append(each["state"])
    for character, accepted in states.items():
        yield {**_titled(content, character), "states": accepted, "low": None, "high": None, "unit": None}
    for each in content.of("accept_ranges", id):
        yield {
            **_titled(content, each["character_id"]),
            "states": None,
            **{key: each[key] for key in ("low", "high", "unit")},
        }


def _reverse(content: Content) -> dict[str, list[Row]]:
    """Return what others say that they can be taken for it, by taxon: whoever holds the one must know of the other."""
    found: dict[str, list[Row]] = {}
    for row in content.rows["confusions"]:
        if row["listed"] != DISMISSED:
            found.setdefault(row["with_taxon_id"], []).append(row)
    return found


def _confusion(content: Content, row: Row, other: str) -> Record:
    mine = content.distinctions(row["taxon_id"], row["with_taxon_id"])
    return {
        "with": _other(content, other),
        "told_from": row["taxon_id"],
        **{key: row[key] for key in ("listed", "note", "required", "separators", "similarity")},
        "hints": listed(row["hints"]),
        "source_ids": listed(row["source_ids"]),
        "claimed": [each["character_id"] for each in mine if each["claimed"]],
        "separates": _separating(content, mine),
    }


def _separating(content: Content, rows: list[Row]) -> dict[str, list[str]]:
    """Return the characters by what they do to tell the pair apart; nothing is left out, not even what does nothing."""
    return {
        word: [each["character_id"] for each in rows if each["separates"] == word]
        for word in content.form.vocabularies["separations"]
    }


def _ranked(confusions: list[Record], content: Content) -> list[Record]:
    order = list(content.form.vocabularies["verdicts"])
    return sorted(confusions, key=lambda each: (order.index(each["with"]["verdict"]), each["with"]["id"]))


def _answered(content: Content, row: Row) -> Record:
    return {
        "with": _other(content, row["with_taxon_id"]),
        "because": row["note"],
        "source_ids": listed(row["source_ids"]),
    }


def _other(content: Content, id: str) -> Record:
    row = content.taxa[id]
    return {"id": id, "name": row["name"], "verdict": row["verdict"], "review_state": row["review_state"]}


def _syndrome(content: Content, id: str) -> Record:
    onsets = [_without(each, "syndrome_id") for each in content.rows["onsets"] if each["syndrome_id"] == id]
    return {**_term(content, "syndromes", id), "onsets": onsets}


def _proof(content: Content, id: str) -> list[Record]:
    """Return, level by level, what to look at and what that does not exclude; empty where nothing was computed."""
    items, open_ = content.of("proofs", id), content.of("unexcluded", id)
    levels = [
        each for each in content.form.vocabularies["levels"] if any(row["level"] == each for row in items + open_)
    ]
    return [
        {
            "level": _term(content, "levels", level),
            "items": [
                {
                    **_titled(content, each["character_id"]),
                    "position": each["position"],
                    "accept": listed(each["accept"]),
                    "read_when": listed(each["read_when"]),
                    "rules_out": each["rules_out"],
                }
                for each in items
                if each["level"] == level
            ],
            "not_excluded": [
                {
                    "with": _other(content, each["with_taxon_id"]),
                    "required": each["required"],
                    "separators": each["separators"],
                }
                for each in open_
                if each["level"] == level
            ],
        }
        for level in levels
    ]


def _characters(content: Content, id: str) -> Iterator[Record]:
    """Yield the states that it shows, one record for each character and stage."""
    rows = content.of("characters", id)
    for (character, stage), group in groupby(rows, key=lambda each: (each["character_id"], each["stage"])):
        found = list(group)
        sources = sorted({source for each in found for source in listed(each["source_ids"])})
        states = [each["state"] for each in found]
        yield {**_titled(content, character), "stage": stage, "states": states, "source_ids": sources}


def _measured(content: Content, row: Row) -> Record:
    return {
        **_titled(content, row["character_id"]),
        **{key: row[key] for key in ("stage", "low", "high", "unit")},
        "source_ids": listed(row["source_ids"]),
    }


def _titled(content: Content, character: str) -> Record:
    found = content.catalogue.get(character)
    return {"character_id": character, "title": found["title"] if found else character}


def _term(content: Content, vocabulary: str, id: str) -> Record:
    found = content.terms.get((vocabulary, id))
    return {"id": id, "title": found["title"] if found else id, "definition": found["definition"] if found else ""}


def _without(row: Row, *keys: str) -> Record:
    """Return a row as part of a record: lists as lists, days as text, without the taxon's own id."""
    out = {"taxon_id", *keys}
    return {key: listed(cell) if key in LISTS else _plain(cell) for key, cell in row.items() if key not in out}


def _plain(cell: Any) -> Any:
    return cell.isoformat() if isinstance(cell, date) else cell
