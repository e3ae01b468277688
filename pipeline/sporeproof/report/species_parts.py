"""What an entry says, gathered as plain values with the titles and definitions of the schema beside each id.

Both forms of :mod:`sporeproof.report.species` are made of this alone, so that neither can say more than the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from sporeproof.confusion.appearance import STAGE
from sporeproof.report.species_look import appearance, confusions, unknown
from sporeproof.report.species_subject import Subject, Told, cited, default_of, taxon_of, title_of, values_of
from sporeproof.tables.build import Facts, evidence_of, months
from sporeproof.tables.resolve import spelled


def told_of(subject: Subject) -> Told:
    """Return all that is said of an entry; the keys are those of :func:`sporeproof.report.species.species_json`."""
    told = {key: part(subject) for key, part in PARTS.items()}
    return told | {"sources": _sources(subject, told)}


def _asked(s: Subject) -> Told:
    role = next((each.role for each in s.entry.names() if spelled(each.name) == spelled(s.asked)), "")
    retired = s.checklist.retired.get(s.asked) or {}
    return {
        "word": s.asked,
        "found_by": s.checklist.find(s.asked).by,
        "role": s.term("name-roles", role) if role else None,
        "misapplied": s.form.flagged("name-roles", role, "misapplied"),
        "retired": {key: retired.get(key) for key in ("was", "because", "since")} if retired else None,
    }


def _members(s: Subject) -> list[Told]:
    linked = [(word, s.checklist.find(word).entries) for word in s.entry.members]
    return [{"written": word, "taxa": [taxon_of(s, each) for each in entries]} for word, entries in linked]


def _verdict(s: Subject) -> Told:
    return s.term("verdicts", s.entry.verdict) | {
        "edible": s.form.is_edible(s.entry.verdict),
        "dangerous": s.form.is_dangerous(s.entry.verdict),
        "severity": s.term("severities", s.entry.edibility["severity"]) if s.entry.edibility.get("severity") else None,
        "sources": cited(s.entry.edibility.get("source")),
    }


def _accept_only(s: Subject) -> list[Told]:
    found = []
    for id, given in s.entry.accept_only.items():
        if id == STAGE:
            stages = [s.term("stages", str(each)) for each in given]
            values: Told = {"states": [{"id": each["id"], "means": each["definition"]} for each in stages]}
        else:
            values = values_of(s.form, id, given)
        found.append({"id": id, "title": title_of(s.form, id), **values})
    return found


def _syndromes(s: Subject) -> list[Told]:
    found = []
    for id in s.entry.syndromes:
        known = s.form.vocabularies["syndromes"].get(id)
        more = known.more if known else {}
        onsets = [
            {"phase": s.term("phases", each["phase"]), "low_h": each.get("low_h"), "high_h": each.get("high_h")}
            | cited(each)[0]
            for each in more.get("onsets") or []
        ]
        found.append(s.term("syndromes", id) | {"note": more.get("note", ""), "onsets": onsets})
    return found


def _answered(s: Subject) -> list[Told]:
    return [
        {
            "written": each["with"],
            "taxa": [taxon_of(s, other) for other in s.checklist.find(each["with"]).entries],
            "because": each.get("because", ""),
            "sources": cited(each.get("source")),
        }
        for each in s.entry.dismissed
    ]


def _none_dangerous(s: Subject) -> Told | None:
    given = s.entry.value.get("no_dangerous_confusion") or {}
    return {"because": given.get("because", ""), "sources": cited(given.get("source"))} if given else None


def _setting(s: Subject) -> Told:
    value = s.entry.value
    season = value.get("season") or {}
    whole = "from" in season and "to" in season
    hosts = value.get("hosts") or {}
    known = [*s.form.vocabularies["host-strengths"], *hosts]
    return {
        "substrate": s.terms("substrates", value.get("substrate")),
        "hosts": [
            {"strength": s.term("host-strengths", each), "genera": hosts[each]}
            for each in dict.fromkeys(known)
            if hosts.get(each)
        ],
        "habitat": s.terms("habitats", value.get("habitat")),
        "months": months(season) if whole else [],
        "peak": season.get("peak") or [],
        "region": s.term("territories", value["region"]) if value.get("region") else None,
        "sources": cited(default_of(s.entry, "setting")),
    }


def _former_names(s: Subject) -> list[Told]:
    return [
        {"name": each.name, "authorship": each.authorship, "kind": s.term("name-roles", each.role)}
        for each in s.entry.names()
        if each.path != ("name",)
    ]


def _protections(s: Subject) -> list[Told]:
    return [
        {key: str(each[key]) if key in each else None for key in ("instrument", "section", "name_as_listed", "since")}
        | {
            "territories": s.terms("territories", each.get("territories")),
            "acts": s.terms("acts", each.get("acts")),
            "checked_on": str(each["checked_on"]) if "checked_on" in each else None,
            "sources": cited(each.get("source")),
        }
        for each in s.protections
        if s.entry in s.checklist.find(each.get("name_as_listed", "")).entries
    ]


def _evidence(s: Subject) -> Told:
    facts = Facts(s.checklist, s.form, s.checklist.sources, [])
    opinions = [
        {"verdict": s.term("verdicts", each.get("verdict", "")), **source}
        for each in s.entry.opinions
        for source in cited(each)
    ]
    return s.term("evidence", evidence_of(s.entry, facts)) | {"opinions": opinions}


def _review(s: Subject) -> Told:
    given = s.entry.value.get("review") or {}
    state = given.get("state", "")
    said = {key: str(given[key]) if key in given else None for key in ("by", "on", "of")}
    return {
        "state": s.term("review-states", state),
        "vouched": s.form.flagged("review-states", state, "vouched"),
        **said,
    }


def _sources(s: Subject, told: Told) -> list[Told]:
    """Return everything that is cited anywhere in what is told, once each."""
    found = []
    for id in sorted(set(_ids(told))):
        given = s.checklist.sources.get(id) or {}
        kind = s.term("source-kinds", given.get("kind", id))
        known = {key: given.get(key) for key in ("citation", "year", "doi", "isbn", "url")}
        found.append({"source_id": id, "kind": kind, **known})
    return found


def _ids(told: Any) -> Iterator[str]:
    if isinstance(told, dict):
        yield from (told[key] for key in ("source_id", "recalls") if told.get(key))
    for below in told.values() if isinstance(told, dict) else told if isinstance(told, list) else ():
        yield from _ids(below)


PARTS: dict[str, Callable[[Subject], Any]] = {
    "asked": _asked,
    "taxon_id": lambda s: s.entry.key,
    "name": lambda s: s.entry.name,
    "authorship": lambda s: s.entry.authorship,
    "rank": lambda s: s.term("ranks", s.entry.rank),
    "family": lambda s: s.entry.value.get("family"),
    "vernacular": lambda s: s.entry.value.get("vernacular") or {},
    "file": lambda s: s.entry.file,
    "sound": lambda s: s.entry.sound,
    "members": _members,
    "verdict": _verdict,
    "needs": lambda s: s.terms("needs", s.entry.needs),
    "cautions": lambda s: s.terms("cautions", s.entry.cautions),
    "accept_only": _accept_only,
    "syndromes": _syndromes,
    "confusions": confusions,
    "no_dangerous_confusion": _none_dangerous,
    "answered": _answered,
    "appearance": appearance,
    "unknown_characters": unknown,
    "setting": _setting,
    "uses": lambda s: s.terms("uses", s.entry.value.get("uses")),
    "former_names": _former_names,
    "protections": _protections,
    "evidence": _evidence,
    "grade": lambda s: None,
    "review": _review,
}
