"""The proofs of all edible entries in one table: for a terminal, in Markdown, for a program.

No row is without what its list does not exclude: how many at each level, and the worst few by name.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from sporeproof.confusion.proof import Proof, first_few
from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.report import species_wording as say
from sporeproof.report.json_text import json_text
from sporeproof.report.markdown import escaped, pipe_table
from sporeproof.report.proof_text import percent
from sporeproof.report.proof_told import SCHEMA, short_of, subject_of
from sporeproof.report.side_by_side import folded, table
from sporeproof.report.species_subject import Told

NAME_WIDTH = 40
INDENT = " " * 6


def proofs_json(proofs: Sequence[Proof], form: Form) -> str:
    """Return the table for a program. The keys are a contract: they change only with the number under ``schema``.

    ``grades``: how many entries have each grade. ``proofs``: for each entry ``taxon_id``, ``name``, ``grade`` (id,
    title, definition), ``reason``, ``items`` (how many the list of the easiest level holds), ``share`` (of what the
    entry itself lists that this list accepts, 0 to 1), ``missing`` (in words, those it had to be compared with and
    was not), ``does_not_exclude``: by level the suspects short of what is required, the most dangerous first, as in
    :func:`sporeproof.report.proof_told.proof_json`. ``safety_note``.
    """
    rows = [_row(each, form) for each in proofs]
    return json_text({"schema": SCHEMA, "grades": _grades(proofs, form), "proofs": rows, "safety_note": SAFETY_NOTE})


def _grades(proofs: Iterable[Proof], form: Form) -> dict[str, int]:
    counts = Counter(each.grade for each in proofs)
    return {id: counts[id] for id in form.vocabularies["grades"]}


def _row(proof: Proof, form: Form) -> Told:
    s = subject_of(proof, form)
    easiest = proof.lists[0]
    return {
        "taxon_id": s.entry.key,
        "name": s.entry.name,
        "grade": s.term("grades", proof.grade),
        "reason": proof.reason,
        "items": len(easiest.items),
        "share": round(easiest.share, 4),
        "missing": list(proof.missing),
        "does_not_exclude": {
            each.level: [short_of(short, s) for short in each.does_not_exclude] for each in proof.lists
        },
    }


# --- For people ---


def proofs_text(proofs: Sequence[Proof], form: Form) -> str:
    """Return the table for a terminal, without the safety note, which its caller adds."""
    head, rows = _heads(form), [_row(each, form) for each in proofs]
    cells = [_cells(row) for row in rows]
    longest = (max(map(len, column)) for column in zip(head, *cells, strict=True))
    widths = [min(width, NAME_WIDTH) for width in longest]
    lines = [*folded(_counted(proofs, form), ""), *folded(_legend(form), ""), "", *table([head], widths)]
    for row, each in zip(rows, cells, strict=True):
        lines += table([each], widths)
        lines += folded(f"Not excluded: {_worst(row)}", INDENT) + folded(f"Why: {row['reason']}", INDENT)
    return "\n".join(lines) + "\n"


def proofs_markdown(proofs: Sequence[Proof], form: Form) -> str:
    """Return the table in Markdown, the safety note at its end."""
    rows = [_row(each, form) for each in proofs]
    cells = ([*_cells(row), _worst(row), row["reason"]] for row in rows)
    lines = pipe_table([*_heads(form), "Not excluded", "Why"], cells)
    texts = [escaped(each) for each in (_counted(proofs, form), _legend(form))]
    return "\n\n".join(["# Proofs", *texts, "\n".join(lines), escaped(SAFETY_NOTE)]) + "\n"


def _heads(form: Form) -> list[str]:
    levels = [f"Left, {say.lower(each.title)}" for each in form.vocabularies["levels"].values()]
    return ["Name", "Grade", "Items", *levels, "Accepts"]


def _cells(row: Told) -> list[str]:
    left = [str(len(each)) for each in row["does_not_exclude"].values()]
    return [row["name"], row["grade"]["title"], str(row["items"]), *left, percent(row["share"])]


def _worst(row: Told) -> str:
    """Name the worst few of the easiest list, beyond which no later one leaves any; then those not compared."""
    left = next(iter(row["does_not_exclude"].values()))
    said = first_few([_feared(each) for each in left]) or "none of those compared"
    return said + (f"; not compared: {first_few(row['missing'])}" if row["missing"] else "")


def _feared(each: Told) -> str:
    harm = "poisons unless prepared in its own way" if each["needs"] else say.lower(each["verdict"]["title"])
    return f"{each['name']} ({harm})"


def _counted(proofs: Sequence[Proof], form: Form) -> str:
    grades = form.vocabularies["grades"]
    counts = [f"{number} {say.lower(grades[id].title)}" for id, number in _grades(proofs, form).items()]
    return f"{len(proofs)} edible {'entry' if len(proofs) == 1 else 'entries'}: {', '.join(counts)}."


def _legend(form: Form) -> str:
    easiest = say.lower(next(iter(form.vocabularies["levels"].values())).title)
    return (
        f"Items: how much there is to look at with the list of the level “{easiest}”. "
        "Each fruitbody passes all of them or is left. "
        "Left: how many suspects the list of each level does not exclude as far as is required. "
        f"Accepts: how much of what the entry itself lists passes at the level “{easiest}”. "
        f"Not excluded: the worst of those left at the level “{easiest}”. What is not in the dataset is not ruled out."
    )
