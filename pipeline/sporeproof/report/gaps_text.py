"""Which missing values matter most, as people and programs read it: the to-do list for the next contribution.

The likely value by which they are ranked is told to nobody: it was never seen, and whoever read it might record it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sporeproof.confusion.gaps import Gap, Gaps, OpenPair
from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.report.json_text import json_text
from sporeproof.report.summary import counted

SCHEMA = 1
TOP = 20
# So many names stand behind a line; the JSON holds them all.
NAMED = 8

ASSUMED = (
    "What a value would settle was judged by the likely one, which most of the nearest relatives on record show. "
    "It was only assumed for ranking and may turn out otherwise: record what is seen or published, nothing else."
)


def gaps_text(found: Gaps, form: Form, top: int = TOP) -> str:
    """Return what to record first, in words, grouped by taxon; whoever prints it adds the safety note."""
    groups: dict[Entry, list[str]] = {}
    for gap in found.gaps[:top]:
        groups.setdefault(gap.entry, []).append(_line(gap, form))
    blocks = [[_open(found)], *groups.values(), _left_out(found, top), _stay(found), [ASSUMED]]
    return "\n\n".join("\n".join(lines) for lines in blocks if lines) + "\n"


def _open(found: Gaps) -> str:
    whose = f" of {found.about.name}" if found.about else ""
    if not found.open:
        return f"By what is recorded, no pair{whose} is short of what must separate an edible taxon from a suspect."
    never = sum(not pair.level for pair in found.open)
    short = "is short" if len(found.open) == 1 else "are short"
    return (
        f"{counted(len(found.open), 'pair')}{whose} {short} in the field of what must separate an edible taxon "
        f"from a suspect, {never} of them at every level."
    )


def _line(gap: Gap, form: Form) -> str:
    first, *later = form.vocabularies["levels"]
    at = f" at the age {' and '.join(gap.ages)}" if gap.ages else ""
    parts = [_settled(gap, first, ""), *(_settled(gap, level, f" at the level `{level}`") for level in later)]
    told = ", and ".join(each for each in parts if each)
    return f"Record «{gap.character.title}» (`{gap.character.id}`) of {gap.entry.name}{at}: would settle {told}."


def _settled(gap: Gap, level: str, where: str) -> str:
    pairs = gap.settles.get(level, ())
    if not pairs:
        return ""
    return f"{counted(len(pairs), 'pair')}{where} ({_names(pair.other(gap.entry).name for pair in pairs)})"


def _names(names: Iterable[str]) -> str:
    listed = list(names)
    more = len(listed) - NAMED
    return ", ".join(listed[:NAMED]) + (f" and {more} more" if more > 0 else "")


def _left_out(found: Gaps, top: int) -> list[str]:
    more = len(found.gaps) - top
    return (
        [f"{counted(more, 'further value')} would settle something too: ask for more with --top."] if more > 0 else []
    )


def _stay(found: Gaps) -> list[str]:
    lines = []
    if found.lacking:
        lines.append(
            f"{_stays(found.lacking)} open whichever single likely value is recorded, and values are missing there: "
            "two at once may be enough, or one that turns out otherwise."
        )
    if found.complete:
        lines.append(f"{_stays(found.complete)} open with nothing missing: what is recorded does not tell them apart.")
    return lines


def _stays(number: int) -> str:
    return f"{counted(number, 'pair')} {'stays' if number == 1 else 'stay'}"


def gaps_json(found: Gaps, form: Form, top: int = TOP) -> str:
    """Return the same as JSON. The keys are a contract: they change only with the number under ``schema``.

    ``for``: the taxon whose pairs were asked for, null for all. ``open``: how many pairs are short in the field
    (``pairs``), how many of them at every level (``every_level``), and how many no single likely value settles, with
    values missing (``lacking``) or none (``complete``). ``total``: how many values would settle some pair; ``gaps``
    holds the first of them by rank: the taxon, the character, ``ages`` that lack (empty where nothing is recorded),
    ``likely_from`` (genus, family, all: whom the likely value was taken from), and ``settles``: for each level the
    pairs that would have enough there and not before. ``assumed``: what the ranking rests on, in words.
    """
    return json_text(
        {
            "schema": SCHEMA,
            "for": found.about and _taxon(found.about),
            "open": {
                "pairs": len(found.open),
                "every_level": sum(not pair.level for pair in found.open),
                "lacking": found.lacking,
                "complete": found.complete,
            },
            "total": len(found.gaps),
            "gaps": [_gap(each, form) for each in found.gaps[:top]],
            "assumed": ASSUMED,
            "safety_note": SAFETY_NOTE,
        }
    )


def _gap(gap: Gap, form: Form) -> dict[str, Any]:
    return {
        "taxon": _taxon(gap.entry),
        "character": gap.character.id,
        "title": gap.character.title,
        "ages": list(gap.ages),
        "likely_from": gap.kin,
        "settles": {
            level: [_pair(pair) for pair in gap.settles.get(level, ())] for level in form.vocabularies["levels"]
        },
    }


def _pair(pair: OpenPair) -> dict[str, Any]:
    return {"edible": _taxon(pair.edible), "suspect": _taxon(pair.suspect), "required": pair.required}


def _taxon(entry: Entry) -> dict[str, str]:
    return {"taxon_id": entry.key, "name": entry.name}
