"""Two taxa side by side, as text for a volunteer and as JSON for a program.

The JSON is a contract; its keys change only with the number under ``schema``:

``{"schema": 1, "a": TAXON, "b": TAXON, "both_ways", "levels": [LEVEL], "characters": [CHARACTER],
"listed": [LISTING], "safety_note"}``

- TAXON: ``taxon_id``, ``name``, ``verdict``. ``a`` is the edible one; ``both_ways`` says that neither or both are.
- LEVEL: ``level``, ``separators``, ``required``, ``separated`` (well, thinly, not), ``enough``, ``one_fruitbody``,
  and ids of characters: ``separating`` (one list a witness), ``one_way``, ``overlapping``, ``unknown``.
- CHARACTER: ``character``, ``title``, ``separates``, ``weight`` (0 where it does not separate), ``alike``, ``proof``,
  ``witness``, ``seen_by``, ``level``, ``read_when``, ``every``, ``unit`` (empty for states), ``a`` and ``b``: SIDE.
- SIDE: ``status``, ``lacks``, the lists ``accepted``, ``shown``, ``read_as``, ``telling``, and ``range``,
  ``shown_range``, ``recorded_range`` (``[low, high]`` or null), as :class:`sporeproof.confusion.pairing.Side` has them.
- LISTING: ``taxon_id`` of the entry that says it, ``listed``, ``told_apart_by`` (``character`` and ``separates``, which
  is empty for a character that the catalogue lacks), ``hints``, ``note``, ``sources``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from sporeproof.confusion.pairing import Comparison, Listing, Row, Standing
from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.report.json_text import json_text
from sporeproof.report.side_by_side import OUTCOMES, folded, label, numbers, side_by_side, spoken, table, title_of

SCHEMA = 1


def comparison_json(pair: Comparison) -> str:
    """Return the comparison for a program, by the contract above."""
    told = {row.character.id: row.separates for row in pair.rows}
    return json_text(
        {
            "schema": SCHEMA,
            "a": _taxon(pair.a),
            "b": _taxon(pair.b),
            "both_ways": pair.both_ways,
            "levels": [_level(each) for each in pair.levels],
            "characters": [_character(row) for row in pair.rows],
            "listed": [_listing(each, told) for each in pair.listings],
            "safety_note": SAFETY_NOTE,
        }
    )


def _taxon(entry: Entry) -> dict[str, str]:
    return {"taxon_id": entry.key, "name": entry.name, "verdict": entry.verdict}


def _level(each: Standing) -> dict[str, Any]:
    return {
        "level": each.level,
        "separators": each.separators,
        "required": each.required,
        "separated": each.separated,
        "enough": each.is_enough,
        "one_fruitbody": each.one_fruitbody,
        "separating": each.separating,
        "one_way": each.one_way,
        "overlapping": each.overlapping,
        "unknown": each.unknown,
    }


def _character(row: Row) -> dict[str, Any]:
    own = {key: getattr(row.character, key) for key in ("proof", "witness", "seen_by", "read_when", "every", "unit")}
    return {
        "character": row.character.id,
        "title": row.character.title,
        "separates": row.separates,
        "weight": row.contrast.weight,
        "alike": row.contrast.alike,
        **own,
        "level": row.level,
        "a": asdict(row.a),
        "b": asdict(row.b),
    }


def _listing(each: Listing, told: dict[str, str]) -> dict[str, Any]:
    return {
        "taxon_id": each.by.key,
        "listed": each.listed,
        "told_apart_by": [{"character": id, "separates": told.get(id, "")} for id in each.claims],
        "hints": each.hints,
        "note": each.note,
        "sources": each.sources,
    }


def comparison_text(pair: Comparison, form: Form) -> str:
    """Return the comparison for a person: the two, what it comes to, who lists it, then each character."""
    parts = [_heads(pair, form), _standings(pair, form), _listings(pair, form), *side_by_side(pair, form)]
    return "\n".join("".join(f"{line}\n" for line in part) for part in parts if part)


# --- The two, and what it comes to ---


def _heads(pair: Comparison, form: Form) -> list[str]:
    rows = [(_named(each), title_of(form, "verdicts", each.verdict)) for each in (pair.a, pair.b)]
    return [
        *table([(at, *row) for at, row in zip("AB", rows, strict=True)], (1, 69, 34)),
        "",
        *folded(_way(pair, form), ""),
    ]


def _named(entry: Entry) -> str:
    usual = next((name for _, position, name in entry.vernaculars() if position == 0), "")
    return f"{entry.name} ({usual})" if usual else entry.name


def _way(pair: Comparison, form: Form) -> str:
    if pair.both_ways:
        number = "Both are" if form.is_edible(pair.a.verdict) else "Neither is"
        return f"{number} edible, so each is taken for the other in turn, and what separates must do so both ways."
    only = "; ".join(f"{spoken(id)}: {_accepted(id, values, form)}" for id, values in pair.a.accept_only.items())
    narrowed = f"only what its entry accepts counts ({only})" if only else "what its entry records counts, unworn"
    return f"Of A, {narrowed}. Of B counts all that it can look like at any age, worn, or as people may report it."


def _accepted(id: str, values: tuple[str | float, ...], form: Form) -> str:
    match values:
        case (int() | float() as low, int() | float() as high) if id in form.characters:
            return numbers((low, high), form.characters[id].unit)
    return " or ".join(spoken(str(each)) for each in values)


def _standings(pair: Comparison, form: Form) -> list[str]:
    lines = ["What tells them apart"]
    for each in pair.levels:
        title = title_of(form, "levels", each.level)
        enough = "" if each.is_enough else ": NOT ENOUGH"
        lines.append(f"  {title:<7}{WORDS[each.separated]}, {each.separators} of the {each.required} required{enough}")
        for line in _because(pair, each, form):
            lines += folded(line, " " * 9)
    return lines


WORDS = {"well": "well separated", "thinly": "thinly separated", "not": "not separated"}


def _because(pair: Comparison, each: Standing, form: Form) -> list[str]:
    """What separates; and what could, but is missing or overlaps, at the level where it is first seen."""
    lines = []
    telling = [row for row in pair.rows if any(row.character.id in ids for ids in each.separating)]
    if telling:
        said = {row.character.id: _counted(row) for row in telling}
        lines.append("By " + "; ".join(" with ".join(said[id] for id in ids) for ids in each.separating) + ".")
    if not all(row.character.every for row in telling):
        lines.append(ALONE if each.one_fruitbody else BESIDE)
    if each.separated == "well":
        return lines
    new = {row.character.id for row in pair.rows if row.level == each.level}
    for says, ids in (("One way only", each.one_way), ("Not known", each.unknown)):
        if here := [id for id in ids if id in new]:
            lines.append(f"{says}: {'; '.join(_titles(here, form))}.")
    if overlapping := [id for id in each.overlapping if id in new]:
        lines.append(f"Overlapping: {len(overlapping)} that could prove something, see below.")
    return lines


# A print or a microscope can look at one fruitbody of a mixed tuft only.
ALONE = "* speaks for the one fruitbody examined, not for its neighbours, so it counts nothing alone."
BESIDE = "* speaks for the one fruitbody examined; each of its neighbours has to pass the rest by itself."


def _counted(row: Row) -> str:
    confused = " (easily confused)" if row.contrast.alike else ""
    return row.character.title + ("" if row.character.every else "*") + confused


def _titles(ids: Iterable[str], form: Form) -> list[str]:
    return [label(id, form) for id in ids]


# --- Who lists it ---


def _listings(pair: Comparison, form: Form) -> list[str]:
    if not pair.listings:
        return ["Listed", "  By nobody: neither entry names the other."]
    told = {row.character.id: row.separates for row in pair.rows}
    lines = ["Listed"]
    for each in pair.listings:
        lines.append(f"  {LISTED[each.listed]} {each.by.name}")
        for line in _said(each, told, form):
            lines += folded(line, " " * 4)
    return lines


CLAIMING = ("authored",)
LISTED = {"authored": "As a confusion in the entry of", "dismissed": "As not confused in the entry of"}


def _said(each: Listing, told: dict[str, str], form: Form) -> list[str]:
    claims = [f"{label(id, form)} ({OUTCOMES.get(told.get(id, ''), 'not in the catalogue')})" for id in each.claims]
    lines = [f"Said to tell them apart: {'; '.join(claims) or 'nothing'}."] if each.listed in CLAIMING else []
    if each.hints:
        lines.append(f"Hints, which never prove: {'; '.join(_titles(each.hints, form))}.")
    lines += [each.note] if each.note else []
    sources = [title_of(form, "source-kinds", each) for each in each.sources]
    return lines + ([f"Source: {', '.join(sources)}."] if sources else [])
