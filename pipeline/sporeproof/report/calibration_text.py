"""A calibration as people and programs read it."""

from __future__ import annotations

from typing import Any

from sporeproof.confusion.calibration import Blind, Calibration, Recall, calibration_figures
from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.report.figures import figures_text
from sporeproof.report.json_text import json_text

SCHEMA = 1
# So many missing characters stand behind a blind spot; the JSON holds them all.
NAMED = 4
READING = (
    "Wilson's interval takes the pairs as independent. Those of one species are not, so the share is less certain\n"
    "than it says. Pairs that were listed because `sporeproof check` asked for them raise the share. The more of all\n"
    "suspects are alike, the less it means that the listed ones are."
)


def calibration_text(found: Calibration, form: Form) -> str:
    """Return the figures, how to read them, what to do, and the blind spots; the caller adds the safety note."""
    blocks = [figures_text(each).rstrip("\n") for each in calibration_figures(found)]
    blocks += [READING, _advice(found)] if found.recall.of else [_advice(found)]
    if found.blind:
        blind = (plain(_line(each, form)) for each in found.blind)
        blocks.append("\n".join(["Blind spots, and what is not recorded of either:", *blind]))
    return "\n\n".join(blocks) + "\n"


def _advice(found: Calibration) -> str:
    if found.proposed is None:
        return (
            "Nobody has listed a dangerous confusion yet, so no threshold can be proposed; every pair counts as alike."
        )
    line = f"similarity_threshold: {found.proposed:.2f}"
    if found.committed is None:
        return f"dataset/package.yaml gives no threshold, so every pair counts as alike. Proposed: {line}"
    if found.is_too_high:
        return f"The committed threshold is higher than the proposed one and misses pairs. Lower it: {line}"
    return f"The committed threshold is no higher than the proposed one; it may stay. Proposed: {line}"


def _line(blind: Blind, form: Form) -> str:
    pair = blind.pair
    thin = "thin, so asked for anyway" if pair.is_thin else "would not be asked for"
    lacks = "; ".join(part for entry in (pair.entry, pair.other) if (part := _lacks(entry, blind, form)))
    return f"  {pair.entry.name} / {pair.other.name}: {pair.similarity:.3f}, {thin}{f' ({lacks})' if lacks else ''}"


def _lacks(entry: Entry, blind: Blind, form: Form) -> str:
    ids = [id for whose, id in blind.missing if whose is entry]
    titles = [form.characters[id].title.lower() for id in ids[:NAMED]]
    more = f" and {len(ids) - NAMED} more" if len(ids) > NAMED else ""
    return f"{entry.name} lacks {', '.join(titles)}{more}" if ids else ""


def calibration_json(found: Calibration) -> str:
    """Return a calibration for a program. The keys are a contract: they change only with the number under ``schema``.

    ``proposed``, ``committed``, ``in_force``: thresholds or null. ``recall``, ``held_out``: ``found``, ``of``,
    ``low``, ``high`` (Wilson's 95 % interval, which takes pairs as independent). ``suggested``: by edible entry how
    many suspects are alike; ``thin``: how many are not well separated in the field. ``compared``: pairs.
    ``blind_spots``: ``entry``, ``with``, ``similarity``, ``thin``, ``missing`` (``name``, ``character``).
    ``safety_note``.
    """
    return json_text(
        {
            "schema": SCHEMA,
            "proposed": found.proposed,
            "committed": found.committed,
            "in_force": found.in_force,
            "recall": _recall(found.recall),
            "held_out": _recall(found.held_out),
            "suggested": found.suggested,
            "thin": found.thin,
            "compared": found.compared,
            "blind_spots": [_blind(each) for each in found.blind],
            "safety_note": SAFETY_NOTE,
        }
    )


def _recall(recall: Recall) -> dict[str, float]:
    return {"found": recall.found, "of": recall.of, "low": recall.low, "high": recall.high}


def _blind(blind: Blind) -> dict[str, Any]:
    return {
        "entry": blind.pair.entry.name,
        "with": blind.pair.other.name,
        "similarity": blind.pair.similarity,
        "thin": blind.pair.is_thin,
        "missing": [{"name": entry.name, "character": id} for entry, id in blind.missing],
    }
