"""What a species looks like and what it is taken for, gathered as plain values."""

from __future__ import annotations

from sporeproof.confusion.appearance import Appearance, appearance_of
from sporeproof.confusion.separation import both_ways, contrast
from sporeproof.form.catalogue import Character, closure
from sporeproof.records.entry import Entry
from sporeproof.report.species_subject import Subject, Told, cited, default_of, taxon_of, title_of, values_of


def appearance(s: Subject) -> list[Told]:
    """Return what is recorded, part by part in the order of the catalogue; what it does not know comes last."""
    ids = [*s.form.characters, *(id for id in s.entry.characters if id not in s.form.characters)]
    by_part: dict[str, list[Told]] = {part: [] for part in [*s.form.vocabularies["parts"], ""]}
    for id in ids:
        character = s.form.characters.get(id)
        follows = _follows(s, character) if character else []
        if follows or id in s.entry.characters:
            by_part[character.part if character else ""].append(_character(s, id, follows))
    return [{"part": s.term("parts", part), "characters": found} for part, found in by_part.items() if found]


def _character(s: Subject, id: str, follows: list[str]) -> Told:
    value = s.entry.characters.get(id)
    by_stage = value.by_stage if value else {}
    raw = (s.entry.value.get("characters") or {}).get(id)
    own = raw.get("source") if isinstance(raw, dict) and "is" in raw else None
    return {
        "id": id,
        "title": title_of(s.form, id),
        "values": [{"stage": stage, **values_of(s.form, id, given)} for stage, given in by_stage.items()],
        "follows": values_of(s.form, id, follows)["states"],
        "sources": cited(own or default_of(s.entry, "characters")) if value else [],
    }


def _follows(s: Subject, character: Character) -> list[str]:
    """Return the states that nobody wrote: the catalogue has them follow from what else is recorded, or is not."""
    value = s.entry.characters.get(character.id)
    written = frozenset(str(each) for given in value.by_stage.values() for each in given) if value else frozenset()
    more = appearance_of(s.entry, s.form).shown(character).states - closure(character, written)
    return [each for each in character.states if each in more]


def unknown(s: Subject) -> list[Told]:
    """Return what applies, or may apply, and is not recorded; what is never suggested is not missed either."""
    look = appearance_of(s.entry, s.form)
    return [
        {"id": id, "title": each.title}
        for id, each in s.form.characters.items()
        if id not in s.entry.characters
        and look.shown(each).status == "unknown"
        and not s.form.flagged("methods", each.seen_by, "never-suggested")
    ]


def confusions(s: Subject) -> list[Told]:
    """Return those of the entry and those that only the other one lists; the most cautious verdict first."""
    own = [(block, link.entries, s.entry) for _, block, link in s.checklist.linked(s.entry)]
    known = {other for _, others, _ in own for other in others} | {s.entry}
    theirs = [
        (block, (other,), other)
        for other in s.checklist.entries
        if other not in known
        for _, block, link in s.checklist.linked(other)
        if s.entry in link.entries
    ]
    found = [_confusion(s, block, others, by) for block, others, by in [*own, *theirs]]
    order = ["", *s.form.vocabularies["verdicts"]]  # what leads nowhere may be anything
    return sorted(found, key=lambda each: order.index(each["verdict"]["id"]))


def _confusion(s: Subject, block: Told, others: tuple[Entry, ...], by: Entry) -> Told:
    other = others[0] if len(others) == 1 else None
    verdict = s.form.most_cautious(each.verdict for each in others)
    return {
        "written": block["with"] if by is s.entry else by.name,
        "taxa": [taxon_of(s, each) for each in others],
        "verdict": s.term("verdicts", verdict),
        "listed_by": by.key,
        "told_apart_by": [_claim(s, other, id) for id in block.get("told_apart_by") or []],
        "hints": [{"id": id, "title": title_of(s.form, id)} for id in block.get("hints") or []],
        "note": block.get("note", ""),
        "sources": cited(block.get("source") or default_of(by, "confusions")),
    }


# What is said of a claim, and not known where the two cannot be compared.
COMPARED = ("separates", "proof", "seen_by", "here", "there")


def _claim(s: Subject, other: Entry | None, id: str) -> Told:
    """What a character shows on both sides: accepted where it is the one that is eaten, else as wide as can be."""
    character = s.form.characters.get(id)
    told: Told = {"id": id, "title": title_of(s.form, id), **dict.fromkeys(COMPARED)}
    if character is None or other is None:
        return told
    here, there = appearance_of(s.entry, s.form), appearance_of(other, s.form)
    mine, theirs = (s.form.is_edible(each.verdict) for each in (s.entry, other))
    if mine == theirs:
        found = both_ways(here, there, character, s.form)
    else:
        found = contrast(*((here, there) if mine else (there, here)), character, s.form)
    return told | {
        "separates": s.term("separations", found.separates),
        "proof": _worth(s, found.weight) if found.separates == "yes" else None,
        "seen_by": s.term("methods", character.seen_by),
        "here": _seen(character, here, accepted=mine),
        "there": _seen(character, there, accepted=theirs and not mine),
    }


def _worth(s: Subject, weight: int) -> Told:
    """Return the weight of proof by its word; it may be less than the character is worth elsewhere."""
    weights = {term.more["weight"]: id for id, term in s.form.vocabularies["proofs"].items()}
    return s.term("proofs", weights[weight])


def _seen(character: Character, look: Appearance, *, accepted: bool) -> Told:
    view = look.accepted(character) if accepted else look.shown(character)
    states = [each for each in character.states if each in view.states]
    return {"accepted": accepted, "status": view.status, **values_of(look.form, character.id, view.range or states)}
