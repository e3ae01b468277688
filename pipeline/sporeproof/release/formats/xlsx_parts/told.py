"""The two sheets for people: what to read first, and each taxon in words, the verdict beside all that it hangs on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.release.content import Content
from sporeproof.release.formats.exchange.wording import accepted, other_verdict, title_of
from sporeproof.release.nested import records

Record = dict[str, Any]
Line = tuple[str | None, ...]

NO_NEED = "None recorded, which does not mean that there are none."
NO_FOOD = "None: no preparation makes it food by what is recorded here."
NO_LIMIT = "No limit is recorded, which does not mean that any specimen may be taken."
NO_HARM = "Nothing is recorded, so unknown. It does not mean that there is no harm."
NO_CONFUSION = "Nothing is recorded, which does not mean that there is nothing."
NO_GRADE = "Nothing is computed, which clears nothing."
EMPTY = "Not recorded, so unknown. It never means safe, absent, none or no."
USE = (
    "Start with the sheet `species`: a row for each taxon, with all that its verdict hangs on in that row. Read the "
    "row to its end; sort and filter whole rows only. The other sheets are the tables it is made of; a note at each "
    "head says what the column means. The words in them are explained in the sheet `terms`."
)
CHANGED = "A copy that somebody changed is no longer this version: correct the dataset, not the spreadsheet."

# The columns of the sheet of species: what each means, and how wide it is.
SPECIES = {
    "name": ("The current scientific name.", 28),
    "English names": ("What it is called in English.", 24),
    "other names": ("Former names, misspellings and wrongly applied names; names in other languages.", 30),
    "verdict": ("What is said of eating it. It holds only with all that stands right of it, up to `review`.", 36),
    "needs": ("What must be done before it is eaten; without it the verdict does not hold.", 36),
    "cautions": ("What must be said in the same breath as the verdict.", 44),
    "accept only": ("The verdict speaks of no other specimens than these.", 30),
    "can be taken for": ("What it can be taken for, the gravest first, with what is said of eating that.", 50),
    "severity and syndromes": ("How grave a poisoning is, and its known forms.", 36),
    "grade": ("How far what was computed tells it from the suspects recorded here; others are not excluded.", 36),
    "review": ("Whether a person has reviewed the entry.", 26),
    "evidence": ("What the verdict rests on.", 30),
    "authorship": ("Who described it.", 20),
    "family": ("Its family.", 18),
    "id": ("Its id, which never changes.", 10),
}


def species(content: Content) -> Iterator[Line]:
    """Yield a row for each taxon, in the order of the names, cells as in ``SPECIES``; None where nothing is known."""
    order = sorted(content.taxa.values(), key=lambda each: (each["name"], each["taxon_id"]))
    lines = records(content)
    for each in order:
        yield tuple(cell or None for cell in _row(json.loads(lines[each["taxon_id"]]), content.form))


def _row(record: Record, form: Form) -> Line:
    told = record["edibility"]
    edible = form.is_edible(told["verdict"]["id"])
    return (
        record["name"],
        "; ".join(each["name"] for each in record["vernacular"] if each["language"] == "en"),
        "; ".join(_others(record, form)),
        _meant(told["verdict"]),
        _all_meant(told["needs"]) or (NO_NEED if edible else NO_FOOD),
        _all_meant(told["cautions"]) or NO_NEED,
        "; ".join(map(accepted, told["accept_only"])) or NO_LIMIT,
        "; ".join(_confusion(each, form) for each in told["confusions"]) or NO_CONFUSION,
        _harm(told, form),
        " ".join([_meant(told["grade"]), told["grade_reason"] or ""]).strip() if told["grade"] else NO_GRADE,
        _reviewed(record["review"]),
        _meant(told["evidence"]),
        record["authorship"],
        record["family"],
        record["id"],
    )


def _others(record: Record, form: Form) -> Iterator[str]:
    """Yield all names beside the current one and the English ones, each with what it is."""
    for each in record["names"]:
        if each["name"] != record["name"]:
            yield f"{each['name']} ({title_of(form, 'name-roles', each['role']).lower()})"
    for each in record["vernacular"]:
        if each["language"] != "en":
            yield f"{each['name']} ({each['language']})"


def _meant(term: Record) -> str:
    return f"{term['title']}: {term['definition']}" if term["definition"] else f"{term['title']}."


def _all_meant(terms: list[Record]) -> str:
    return " ".join(map(_meant, terms))


def _confusion(each: Record, form: Form) -> str:
    other = each["with"]
    review = title_of(form, "review-states", other["review_state"]).lower()
    return f"{other['name']} ({other_verdict(other['verdict'], form)}; {review})"


def _harm(told: Record, form: Form) -> str:
    severity = f"{title_of(form, 'severities', told['severity'])}. " if told["severity"] else ""
    return f"{severity}{_all_meant(told['syndromes'])}".strip() or NO_HARM


def _reviewed(review: Record) -> str:
    return f"{_meant(review)} On {review['on']}." if review["on"] else _meant(review)


def first_said(content: Content, sheets: list[tuple[str, int]]) -> list[Line]:
    """Return the rows of the sheet to read first: what it is about, and what is said of it."""
    said, tables = content.provenance, content.form.tables
    licence = content.words["licence"]
    rows: list[Line] = [
        ("Safety", SAFETY_NOTE),
        ("Version", content.version),
        ("Description", content.words["description"]),
        ("Reviewed by a person", _shares(said["counts"], "review_state", "review-states", content.form)),
        ("Evidence", _shares(said["counts"], "evidence", "evidence", content.form)),
        ("An empty cell", EMPTY),
        ("No row", "Not recorded here. It never means harmless, ruled out, told apart or allowed."),
        (
            "The law",
            "Where no protection is recorded, nothing is allowed by that: local law and land managers come first.",
        ),
        ("When you pass it on", "Show a verdict only with its needs, its cautions, its confusions and the review."),
        ("How to use it", USE),
        ("If you change it", CHANGED),
        ("Licence", f"{licence['title']}, {licence['path']}"),
        ("Made by", f"{said['tool']['name']} {said['tool']['version']}"),
        ("Content, SHA-256", said["content"]["sha256"]),
        ("Schema, SHA-256", said["schema"]["sha256"]),
    ]
    rows += [("Names held against", _checked(each)) for each in said["checklists"]]
    for name, height in sheets:
        rows.append((f"Sheet {name}", f"{tables.get(name, {}).get('description', '')} Rows: {height}.".strip()))
    return rows


def _shares(counts: Record, key: str, vocabulary: str, form: Form) -> str:
    parts = [f"{title_of(form, vocabulary, id)}: {count}" for id, count in counts[key].items()]
    return f"{'; '.join(parts)}; of {counts['taxa']} taxa."


def _checked(each: Record) -> str:
    who = each["checklist"] or "nobody; written down from general knowledge, not confirmed"
    return f"{who}: {each['names']} names, {each['obtained'] or 'not asked'}, from {each['first']} to {each['last']}"
