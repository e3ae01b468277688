"""What a proof says, gathered as plain values with the titles and definitions of the schema beside each id.

Every form of a proof is made of this alone, so that none can say more than the others, nor leave out what a list
does not exclude.
"""

from __future__ import annotations

from itertools import pairwise

from sporeproof.confusion.appearance import STAGE
from sporeproof.confusion.proof import Item, Proof, ProofList, Short, as_handled
from sporeproof.confusion.suspects import POISONOUS_WITHOUT
from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.report.json_text import json_text
from sporeproof.report.species_subject import Subject, Told, values_of
from sporeproof.tables.resolve import Checklist

SCHEMA = 1


def proof_json(proof: Proof, form: Form) -> str:
    """Return a proof for a program. The keys are a contract: they change only with the number under ``schema``.

    A word of the schema is ``{id, title, definition}``. The rule of every list: each fruitbody passes all items or is
    left, and an item that cannot be read fails.

    taxon_id, name, vernacular, verdict: the edible one. review_state: the word; vouched: whether somebody has
    reviewed it. stages: the words of the ages that are accepted, empty for all.
    suspects: how many it was compared with; missing: in words, those it had to be compared with and was not.
    lists: LIST, the easiest level first; each holds the items of those before it.
    needs, cautions: words. grade: the word; proven: false where it is the most cautious one; reason: what holds it
    there. safety_note.

    - LIST: ``level``, ``items`` (ITEM), ``adds`` (ids of the characters that the level before it lacks), ``share`` (of
      what the entry itself lists, 0 to 1), ``does_not_exclude`` (SHORT, the most dangerous first).
    - ITEM: ``position`` from 1, ``character``, ``title``, ``part``, ``accept``: ``{states: [{id, means}]}`` or
      ``{low, high, unit, unit_title}``, ``seen_by``, ``read_when``, ``every`` (false: it speaks for the one fruitbody
      examined), ``rules_out`` (how many suspects it counts against).
    - SHORT: ``taxon_id``, ``name``, ``verdict``, ``required`` and ``separators`` (weights of proof), ``needs`` (of an
      edible one: those without which it poisons and that this one lacks).
    """
    return json_text({"schema": SCHEMA, **told_of(proof, form), "safety_note": SAFETY_NOTE})


def told_of(proof: Proof, form: Form) -> Told:
    """Return all that a proof says; the keys are those of :func:`proof_json`."""
    s = subject_of(proof, form)
    state = str((s.entry.value.get("review") or {}).get("state", ""))
    return {
        "taxon_id": s.entry.key,
        "name": s.entry.name,
        "vernacular": s.entry.value.get("vernacular") or {},
        "verdict": s.term("verdicts", s.entry.verdict),
        "review_state": s.term("review-states", state),
        "vouched": form.flagged("review-states", state, "vouched"),
        "stages": s.terms("stages", map(str, s.entry.accept_only.get(STAGE, ()))),
        "suspects": proof.suspects,
        "missing": list(proof.missing),
        "lists": _lists(proof, s),
        "needs": s.terms("needs", s.entry.needs),
        "cautions": s.terms("cautions", s.entry.cautions),
        "grade": s.term("grades", proof.grade),
        "proven": proof.grade != next(iter(form.vocabularies["grades"])),
        "reason": proof.reason,
    }


def subject_of(proof: Proof, form: Form) -> Subject:
    """Return the entry of a proof as one that is told of."""
    return Subject(proof.entry, Checklist([proof.entry]), form, [], proof.entry.name)


def short_of(each: Short, s: Subject) -> Told:
    """Return a suspect that is not ruled out, with what it would take and what there is."""
    other = each.suspect
    needs = other.needs if s.form.is_edible(other.verdict) else []
    lacked = [need for need in needs if s.form.flagged("needs", need, POISONOUS_WITHOUT) and need not in s.entry.needs]
    return {
        "taxon_id": other.key,
        "name": other.name,
        "verdict": s.term("verdicts", other.verdict),
        "required": each.required,
        "separators": each.separators,
        "needs": s.terms("needs", lacked),
    }


def _lists(proof: Proof, s: Subject) -> list[Told]:
    before: list[set[str]] = [set(), *({item.character.id for item in each.items} for each in proof.lists)]
    pairs = zip(pairwise(before), proof.lists, strict=True)
    return [_list(each, own - former, s) for (former, own), each in pairs]


def _list(each: ProofList, adds: set[str], s: Subject) -> Told:
    items = [_item(item, position, s) for position, item in enumerate(as_handled(each.items), 1)]
    return {
        "level": s.term("levels", each.level),
        "items": items,
        "adds": [item["character"] for item in items if item["character"] in adds],
        "share": round(each.share, 4),
        "does_not_exclude": [short_of(short, s) for short in each.does_not_exclude],
    }


def _item(item: Item, position: int, s: Subject) -> Told:
    character = item.character
    return {
        "position": position,
        "character": character.id,
        "title": character.title,
        "part": s.term("parts", character.part),
        "accept": values_of(s.form, character.id, item.range or item.states),
        "seen_by": s.term("methods", character.seen_by),
        "read_when": s.terms("readings", character.read_when),
        "every": character.every,
        "rules_out": item.rules_out,
    }
