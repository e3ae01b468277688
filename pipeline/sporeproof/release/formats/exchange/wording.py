"""A nested record in plain English, for formats that take whole texts.

What is said of eating a taxon is one text that is never cut up: review, verdict, needs, cautions, accepted specimens,
confusions, evidence and the safety note.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.tables.faults import shown

Record = dict[str, Any]

UNTOLD = "What is not told here is unknown."
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def title_of(form: Form, vocabulary: str, id: str) -> str:
    """Return what a word of a vocabulary is called; an unknown one is called as it is written."""
    term = form.vocabularies.get(vocabulary, {}).get(id)
    return term.title if term else id


def sentence(form: Form, vocabulary: str, id: str) -> str:
    """Return a word of a vocabulary with what it means."""
    term = form.vocabularies.get(vocabulary, {}).get(id)
    return f"{term.title}: {term.definition}" if term else f"{id}."


def eating(record: Record, form: Form) -> str:
    """Return all that is said of eating a taxon, in one text."""
    return " ".join(_eating(record, record["edibility"], form))


def _eating(record: Record, told: Record, form: Form) -> Iterator[str]:
    yield _meant(record["review"])
    yield f"Verdict: {_meant(told['verdict'])}"
    if told["severity"]:
        yield f"Severity: {sentence(form, 'severities', told['severity'])}"
    yield from _syndromes(told)
    # A line on needs would sound as if some preparation made food of what is none.
    if told["needs"] or form.is_edible(told["verdict"]["id"]):
        yield f"Needs: {_all_meant(told['needs'])}"
    yield f"Cautions: {_all_meant(told['cautions'])}"
    if told["accept_only"]:
        yield f"It holds only of specimens with: {'; '.join(accepted(each) for each in told['accept_only'])}."
    yield _confusions(told, form)
    yield f"Evidence: {_meant(told['evidence'])}"
    opinions = [f"{each['source_id']} says {title_of(form, 'verdicts', each['verdict'])}" for each in told["opinions"]]
    if opinions:
        yield f"Opinions: {'; '.join(opinions)}."
    yield _grade(told)
    yield SAFETY_NOTE


def _meant(term: Record) -> str:
    return f"{term['title']}: {term['definition']}" if term["definition"] else f"{term['title']}."


def _all_meant(terms: list[Record]) -> str:
    return " ".join(map(_meant, terms)) or "none recorded, which does not mean that there are none."


def _syndromes(told: Record) -> Iterator[str]:
    if told["syndromes"]:
        yield f"Syndromes: {_all_meant(told['syndromes'])}"


def accepted(part: Record) -> str:
    """Return what is accepted in one character."""
    return f"{part['title']}: {' or '.join(part['states'])}" if part["states"] else f"{part['title']}: {_range(part)}"


def _range(part: Record) -> str:
    return f"{shown(part['low'])} to {shown(part['high'])} {part['unit']}"


def _confusions(told: Record, form: Form) -> str:
    """Return what a taxon can be taken for, by verdict, the gravest first."""
    if not told["confusions"]:
        return "Can be taken for: nothing is recorded, which does not mean that there is nothing."
    parts = [
        f"{', '.join(each['with']['name'] for each in group)} ({said})"
        for said, group in groupby(told["confusions"], key=lambda each: other_verdict(each["with"]["verdict"], form))
    ]
    return f"Can be taken for: {'; '.join(parts)}."


def other_verdict(verdict: str, form: Form) -> str:
    """Return what is said of eating another taxon: nothing that somebody could eat by, which hangs on its own entry."""
    return "see its own entry" if form.is_edible(verdict) else title_of(form, "verdicts", verdict).lower()


def _grade(told: Record) -> str:
    if told["grade"] is None:
        return "Grade: nothing is computed, which clears nothing."
    reason = f" {told['grade_reason']}" if told["grade_reason"] else ""
    return f"Grade: {_meant(told['grade'])}{reason}"


def looks(record: Record, form: Form) -> str:
    """Return the characters and measurements in words; empty where none is recorded."""
    parts: dict[str, list[str]] = {}
    for each in record["characters"]:
        parts.setdefault(each["title"], []).append(" or ".join(each["states"]) + staged(form, each["stage"]))
    for each in record["measurements"]:
        parts.setdefault(each["title"], []).append(_range(each) + staged(form, each["stage"]))
    return _told(f"{title}: {', '.join(said)}." for title, said in parts.items())


def staged(form: Form, stage: str) -> str:
    """Return the stage that a value speaks of, in brackets; nothing where none was given."""
    return "" if form.flagged("stages", stage, "unstaged") else f" ({title_of(form, 'stages', stage).lower()})"


def season(record: Record, region: str) -> str:
    """Return the months in which a taxon was found in a region where it was observed."""
    months = [each for each in record["seasons"] if each["region"] == region]
    most = [each for each in months if each["peak"]]
    if not months:
        return f"Its hosts were observed in {region}; no month is recorded. {UNTOLD}"
    peak = f" Most in {_months(most)}." if most else ""
    return f"Found in {_months(months)}, as observed in {region}.{peak} {UNTOLD}"


def _months(rows: list[Record]) -> str:
    return ", ".join(MONTHS[each["month"] - 1] for each in rows)


def places(record: Record, form: Form) -> str:
    """Return substrates, hosts and habitats in words; empty where none is recorded."""
    parts: dict[str, list[str]] = {}
    for each in record["settings"]:
        strength = f" ({title_of(form, 'host-strengths', each['strength']).lower()})" if each["strength"] else ""
        parts.setdefault(title_of(form, "setting-kinds", each["kind"]), []).append(each["value"] + strength)
    return _told(f"{title}: {', '.join(said)}." for title, said in parts.items())


def uses(record: Record) -> str:
    """Return what a taxon is good for beyond eating; empty where nothing is recorded."""
    return f"Beyond eating: {_all_meant(record['uses'])}" if record["uses"] else ""


def law(protection: Record, form: Form) -> str:
    """Return what one law forbids in one territory; what no record says is not allowed by that."""
    acts = ", ".join(title_of(form, "acts", each).lower() for each in protection["acts"])
    section = f", {protection['section']}" if protection["section"] else ""
    since = f", since {protection['since']}" if protection["since"] else ""
    read = f"read on {protection['checked_on']}" if protection["checked_on"] else "nobody has read it for this record"
    return (
        f"{protection['instrument']}{section}, in {title_of(form, 'territories', protection['territory'])}{since}: "
        f"listed as {protection['name_as_listed']}; forbids: {acts} ({read})."
    )


def laws(record: Record, form: Form) -> str:
    """Return all protections in words; empty where none is recorded."""
    found = [law(each, form) for each in record["protections"]]
    return " ".join([*found, "What is not recorded here is not allowed by that."]) if found else ""


def pair(confusion: Record, form: Form) -> str:
    """Return what is said of a confusion: the other's verdict first, then how far the two are told apart."""
    other = confusion["with"]
    return " ".join(
        [
            f"{other['name']}: {other_verdict(other['verdict'], form)}"
            f" ({title_of(form, 'review-states', other['review_state']).lower()}).",
            sentence(form, "listings", confusion["listed"]),
            *([confusion["note"]] if confusion["note"] else []),
            *([f"Usual signs, never proof: {', '.join(confusion['hints'])}."] if confusion["hints"] else []),
            *_proof(confusion),
        ]
    )


def _proof(confusion: Record) -> Iterator[str]:
    if confusion["required"] is not None:
        there = shown(confusion["separators"]) or "unknown"
        yield f"Weight of proof required: {shown(confusion['required'])}; there is in the field: {there}."
    if confusion["similarity"] is not None:
        yield f"Similarity: {shown(confusion['similarity'])}."


def _told(parts: Iterable[str]) -> str:
    found = list(parts)
    return " ".join([*found, UNTOLD]) if found else ""
