"""A nested record cut into single facts: a type, a value, a unit. Whatever speaks of eating bears the whole text."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sporeproof.form.load import Form
from sporeproof.release.formats.exchange.wording import accepted, eating, law, sentence, staged
from sporeproof.tables.faults import shown

Record = dict[str, Any]

DIGITS = 12


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact of a taxon. ``id`` is the same in each version as long as the fact is; ``source_ids`` may be none."""

    id: str
    type: str
    value: str
    unit: str = ""
    remarks: str = ""
    source_ids: tuple[str, ...] = ()

    @property
    def remarks_with_sources(self) -> str:
        """The remarks, and whence the fact is."""
        return " ".join(filter(None, [self.remarks, sources_said(self.source_ids)]))


def sources_said(ids: tuple[str, ...] | list[str]) -> str:
    """Return the ids of sources in words; empty where there is none."""
    return f"Sources: {', '.join(ids)}." if ids else ""


def facts(record: Record, form: Form) -> Iterator[Fact]:
    """Yield every fact of a taxon that is a value by itself; the id of each is its own."""
    yield from _of_eating(record, form)
    yield from _of_looks(record, form)
    yield from _of_places(record, form)
    for each in record["uses"]:
        yield _fact(record, "use", each["id"], remarks=each["definition"])
    for each in record["protections"]:
        listing = "|".join((each["instrument"], each["name_as_listed"], each["territory"]))
        yield Fact(
            id=f"{record['id']}:protection:{hashlib.sha256(listing.encode()).hexdigest()[:DIGITS]}",
            type="protection",
            value=each["instrument"],
            remarks=law(each, form),
            source_ids=(each["source_id"],),
        )


def _fact(record: Record, type: str, value: str, **more: Any) -> Fact:
    return Fact(f"{record['id']}:{type}:{value}".replace(" ", "-"), type, value, **more)


def _of_eating(record: Record, form: Form) -> Iterator[Fact]:
    """Yield verdict and grade with the whole text, and what only warns by itself."""
    told, whole = record["edibility"], eating(record, form)
    because = tuple(told["verdict_source_ids"])
    yield Fact(f"{record['id']}:verdict", "verdict", told["verdict"]["id"], remarks=whole, source_ids=because)
    if told["grade"]:
        yield Fact(f"{record['id']}:grade", "grade", told["grade"]["id"], remarks=whole)
    yield Fact(f"{record['id']}:review", "review state", told["review_state"], remarks=_reviewed(record))
    yield Fact(f"{record['id']}:evidence", "evidence", told["evidence"]["id"], remarks=told["evidence"]["definition"])
    if told["severity"]:
        meant = sentence(form, "severities", told["severity"])
        yield Fact(f"{record['id']}:severity", "severity", told["severity"], remarks=meant)
    for type, terms in (("need", told["needs"]), ("caution", told["cautions"]), ("syndrome", told["syndromes"])):
        for each in terms:
            yield _fact(record, type, each["id"], remarks=each["definition"])
    for each in told["accept_only"]:
        id = f"{record['id']}:accept-only:{each['character_id']}"
        yield Fact(id, "accept only", accepted(each), remarks="The verdict speaks of no other specimens.")


def _reviewed(record: Record) -> str:
    day = f" On {record['review']['on']}." if record["review"]["on"] else ""
    return f"{record['review']['definition']}{day}"


def _of_looks(record: Record, form: Form) -> Iterator[Fact]:
    for each in record["characters"]:
        for state in each["states"]:
            yield Fact(
                id=f"{record['id']}:{each['character_id']}:{each['stage']}:{state}",
                type=each["character_id"],
                value=state,
                remarks=f"{each['title']}{staged(form, each['stage'])}.",
                source_ids=tuple(each["source_ids"]),
            )
    for each in record["measurements"]:
        yield Fact(
            id=f"{record['id']}:{each['character_id']}:{each['stage']}",
            type=each["character_id"],
            value=f"{shown(each['low'])}-{shown(each['high'])}",
            unit=each["unit"],
            remarks=f"{each['title']}{staged(form, each['stage'])}: low and high end of the usual range.",
            source_ids=tuple(each["source_ids"]),
        )


def _of_places(record: Record, form: Form) -> Iterator[Fact]:
    for each in record["settings"]:
        strength = sentence(form, "host-strengths", each["strength"]) if each["strength"] else ""
        yield Fact(
            id=f"{record['id']}:{each['kind']}:{each['value']}".replace(" ", "-"),
            type=each["kind"],
            value=each["value"],
            remarks=strength,
            source_ids=tuple(each["source_ids"]),
        )
