"""Reads an answer of the name matching service, version 2, in the shapes it really comes in.

Members that are empty are left out by the service, and the shape has drifted over the years, so every member may
be absent and none that is unknown matters. What cannot be understood for certain is a fault of the service, told
in a sentence, and never counts as "nothing was found".
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from sporeproof.names.matching.ranks import rank_read
from sporeproof.names.matching.usage import EXACT, HIGHERRANK, MISAPPLIED, NONE, SYNONYM, VARIANT, Match, Taxon, Usage

# Version 1 and older answers call a variant so.
MATCH_TYPES = {EXACT: EXACT, VARIANT: VARIANT, "FUZZY": VARIANT, HIGHERRANK: HIGHERRANK, NONE: NONE}
# No name is longer, and a longer text would not be read back from the record.
LONGEST = 300
DEEPEST = 3
UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\u2028\u2029]+")


@dataclass(frozen=True, slots=True)
class Fault:
    """Why there is no answer, as a clause that can follow a name and a colon.

    ``may_pass`` tells whether it is worth asking again; ``wait`` is for how many seconds the service asks to be
    left alone, None where it does not say.
    """

    says: str
    may_pass: bool = False
    wait: float | None = None


class _Misshapen(Exception):
    """An answer that cannot be understood; the message says why."""


def match_of(body: Any) -> Match | Fault:
    """Return what a JSON body of the service says of one name, or why it cannot be understood."""
    try:
        return _match(body)
    except _Misshapen as error:
        return Fault(str(error))


def _match(body: Any) -> Match:
    """Return a whole answer; alternatives are answers too, but need no more than a usage."""
    if not isinstance(body, dict):
        raise _Misshapen("the service answers with something that is no answer on a name")
    diagnostics = body.get("diagnostics")
    if not isinstance(diagnostics, dict):
        raise _Misshapen(_without_diagnostics(body))
    said = word_of(diagnostics.get("matchType")).upper()
    if said not in MATCH_TYPES:
        raise _Misshapen(f"the service calls the match `{said}`, which is not known here" if said else NO_MATCH_TYPE)
    match = _read(body, MATCH_TYPES[said], DEEPEST)
    if (match.usage is None) != (match.match_type == NONE):
        raise _Misshapen("the service contradicts itself: whether a name was found is not clear")
    return match


NO_MATCH_TYPE = "the service does not say how well the name matches"


def _without_diagnostics(body: dict[str, Any]) -> str:
    if message := _line(body.get("message")) or _line(body.get("error")):
        return f"the service gives a message in place of an answer: {message[:LONGEST]}"
    if "matchType" in body:
        return "the service answers as its version 1 did, which gives no accepted name"
    return "the service's answer does not say how the name was found"


def _read(body: dict[str, Any], match_type: str, depth: int) -> Match:
    """Return an answer, with what was weighed beside it down to a few levels."""
    diagnostics = _object(body.get("diagnostics"))
    usage, accepted = _usage(body.get("usage")), _usage(body.get("acceptedUsage"))
    return Match(
        match_type=match_type,
        confidence=_confidence(diagnostics.get("confidence")),
        usage=usage and replace(usage, status=_status(body, usage)),
        accepted=accepted,
        classification=tuple(_classification(body.get("classification"))),
        alternatives=tuple(_alternatives(diagnostics.get("alternatives"), depth)),
        flags=tuple(filter(None, map(word_of, _list(diagnostics.get("processingFlags"))))),
        note=_line(diagnostics.get("note"))[:LONGEST],
    )


def _status(body: dict[str, Any], usage: Usage) -> str:
    """Return the status of a usage; what contradicts the mark of a synonym is no status at all."""
    status = usage.status or word_of(_object(body.get("diagnostics")).get("status")).upper()
    if body.get("synonym") is not True or SYNONYM in status or status == MISAPPLIED:
        return status
    return "" if status else SYNONYM


def _alternatives(raw: Any, depth: int) -> list[Match]:
    """Return what was weighed beside a match. One that cannot be read might be a rival, so it spoils the whole."""
    if depth == 0:
        return []
    found = []
    for each in _list(raw):
        if not isinstance(each, dict):
            raise _Misshapen("the service names another taxon beside it that cannot be read")
        said = word_of(_object(each.get("diagnostics")).get("matchType")).upper()
        match = _read(each, MATCH_TYPES.get(said, NONE), depth - 1)
        if match.usage:
            found.append(match)
    return found


def _usage(raw: Any) -> Usage | None:
    """Return a usage, None where none is given; one without its key or its name is misshapen."""
    if raw is None or raw == {}:
        return None
    given = _object(raw)
    key, authorship = word_of(given.get("key")), word_of(given.get("authorship"))
    canonical = _canonical(given, authorship)
    if not key or not canonical:
        raise _Misshapen("the service names a taxon without its key or without its name")
    whole = word_of(given.get("name"))
    if not authorship and whole.startswith(f"{canonical} "):
        authorship = whole.removeprefix(canonical).strip()
    return Usage(key, canonical, authorship, _rank(given.get("rank")), word_of(given.get("status")).upper())


def _canonical(given: dict[str, Any], authorship: str) -> str:
    """Return the name without author; older answers do not always give it in one piece."""
    if canonical := word_of(given.get("canonicalName")):
        return canonical
    genus = word_of(given.get("genericName")) or word_of(given.get("genus"))
    epithets = [word_of(given.get("specificEpithet")), word_of(given.get("infraspecificEpithet"))]
    if genus:
        return " ".join(filter(None, [genus, *epithets]))
    return word_of(given.get("name")).removesuffix(authorship).strip()


def _classification(raw: Any) -> list[Taxon]:
    steps = [_object(each) for each in _list(raw)]
    return [Taxon(word_of(each.get("key")), word_of(each.get("name")), _rank(each.get("rank"))) for each in steps]


def _rank(raw: Any) -> str:
    """Return a rank by its present constant; one that is not known stays as it is written."""
    said = word_of(raw).upper()
    return rank_read(said) or said


def _confidence(raw: Any) -> int | None:
    """Return a confidence of 0 to 100, None where none is told."""
    told = word_of(int(raw) if isinstance(raw, float) and raw == raw // 1 else raw)
    return int(told) if told.isascii() and told.isdigit() and int(told) <= 100 else None  # noqa: PLR2004


def word_of(raw: Any) -> str:
    """Return a text or a whole number as one clean line; empty for anything else, and for what is too long."""
    if isinstance(raw, int) and not isinstance(raw, bool) and abs(raw) < 10**18:
        return str(raw)
    clean = _line(raw)
    return clean if len(clean) <= LONGEST else ""


def _line(raw: Any) -> str:
    """Return a text as one clean line, whatever its length."""
    return " ".join(UNPRINTABLE.sub(" ", raw).split()) if isinstance(raw, str) else ""


def _object(raw: Any) -> dict[str, Any]:
    return raw if isinstance(raw, dict) else {}


def _list(raw: Any) -> list[Any]:
    return raw if isinstance(raw, list) else []
