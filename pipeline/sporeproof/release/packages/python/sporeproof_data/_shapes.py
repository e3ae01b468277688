"""What a record must hold before anything of it is told. A record that lacks a part is broken, not harmless."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

TEXT = str
FLAG = bool
WHOLE = int
NUMBER = (int, float)
NOTHING = type(None)
TEXT_OR_NOTHING = (str, NOTHING)
WHOLE_OR_NOTHING = (int, NOTHING)
NUMBER_OR_NOTHING = (int, float, NOTHING)


class OrNothing:
    """A shape that may be null instead."""

    def __init__(self, shape: Any) -> None:
        self.shape = shape


def amiss(value: Any, shape: Any, at: str = "") -> Iterator[str]:
    """Yield where a value does not have a shape; a key that the shape does not know may stand there.

    A shape is a type or several, a list of one shape, a dict of shapes by key, or one that may be null.
    """
    if isinstance(shape, OrNothing):
        if value is not None:
            yield from amiss(value, shape.shape, at)
    elif isinstance(shape, dict):
        if not isinstance(value, dict):
            yield at
            return
        for key, each in shape.items():
            if key in value:
                yield from amiss(value[key], each, f"{at}/{key}")
            else:
                yield f"{at}/{key}"
    elif isinstance(shape, list):
        if not isinstance(value, list):
            yield at
            return
        for number, each in enumerate(value):
            yield from amiss(each, shape[0], f"{at}/{number}")
    elif not isinstance(value, shape):
        yield at


TERM = {"id": TEXT, "title": TEXT, "definition": TEXT}
TITLED = {"character_id": TEXT, "title": TEXT}
OTHER = {"id": TEXT, "name": TEXT, "verdict": TEXT, "review_state": TEXT}
SOURCES = [TEXT]

CONFUSION = {
    "with": OTHER,
    "told_from": TEXT,
    "listed": TEXT,
    "note": TEXT_OR_NOTHING,
    "required": WHOLE_OR_NOTHING,
    "separators": WHOLE_OR_NOTHING,
    "similarity": NUMBER_OR_NOTHING,
    "hints": [TEXT],
    "source_ids": SOURCES,
    "claimed": [TEXT],
    "separates": dict,
}
ONSET = {"source_id": TEXT, "phase": TEXT, "low_h": NUMBER_OR_NOTHING, "high_h": NUMBER_OR_NOTHING}
RANGE = {"low": NUMBER_OR_NOTHING, "high": NUMBER_OR_NOTHING, "unit": TEXT_OR_NOTHING}

EDIBILITY = {
    "verdict": TERM,
    "severity": TEXT_OR_NOTHING,
    "evidence": TERM,
    "verdict_source_ids": SOURCES,
    "needs": [TERM],
    "cautions": [TERM],
    "accept_only": [TITLED | RANGE | {"states": OrNothing([TEXT])}],
    "confusions": [CONFUSION],
    "answered": [{"with": OTHER, "because": TEXT_OR_NOTHING, "source_ids": SOURCES}],
    "syndromes": [TERM | {"onsets": [ONSET]}],
    "opinions": [{"source_id": TEXT, "verdict": TEXT}],
    "grade": OrNothing(TERM),
    "grade_reason": TEXT_OR_NOTHING,
    "review_state": TEXT,
}
LEVEL = {
    "level": TERM,
    "items": [TITLED | {"position": WHOLE, "accept": [TEXT], "read_when": [TEXT], "rules_out": WHOLE}],
    "not_excluded": [{"with": OTHER, "required": WHOLE, "separators": WHOLE}],
}
NAME = {"name": TEXT, "authorship": TEXT_OR_NOTHING, "role": TEXT}
PROTECTION = {
    "instrument": TEXT,
    "name_as_listed": TEXT,
    "territory": TEXT,
    "section": TEXT_OR_NOTHING,
    "acts": [TEXT],
    "since": TEXT_OR_NOTHING,
    "source_id": TEXT,
    "checked_on": TEXT_OR_NOTHING,
}
TAXON = {
    "schema": WHOLE,
    "release": TEXT,
    "id": TEXT,
    "name": TEXT,
    "authorship": TEXT_OR_NOTHING,
    "rank": TEXT,
    "family": TEXT_OR_NOTHING,
    "region": TEXT_OR_NOTHING,
    "vernacular": [{"language": TEXT, "name": TEXT, "preferred": FLAG}],
    "review": TERM | {"reviewed": FLAG, "on": TEXT_OR_NOTHING},
    "edibility": EDIBILITY,
    "proof": [LEVEL],
    "names": [NAME],
    "characters": [TITLED | {"stage": TEXT, "states": [TEXT], "source_ids": SOURCES}],
    "measurements": [
        TITLED | {"stage": TEXT, "low": NUMBER, "high": NUMBER, "unit": TEXT, "source_ids": SOURCES},
    ],
    "settings": [{"kind": TEXT, "value": TEXT, "strength": TEXT_OR_NOTHING, "source_ids": SOURCES}],
    "seasons": [{"region": TEXT, "month": WHOLE, "peak": FLAG, "source_ids": SOURCES}],
    "uses": [TERM],
    "protections": [PROTECTION],
    "safety_note": TEXT,
}
INDEX = {
    "schema": WHOLE,
    "version": TEXT,
    "safety_note": TEXT,
    "provenance": dict,
    "licence": dict,
    "verdicts": [TEXT],
    "edible": [TEXT],
    "taxa": [TEXT],
    "reviewed": [TEXT],
    "retired": dict,
}
ENDED = {"was": TEXT, "successors": [TEXT], "since": TEXT, "reason": TEXT}
NOTICE = dict.fromkeys(("notice_id", "version", "kind", "table", "text"), TEXT) | dict.fromkeys(
    ("taxon_id", "name", "with_taxon_id", "with_name", "column", "old", "new", "source_ids", "reason"), TEXT_OR_NOTHING
)
