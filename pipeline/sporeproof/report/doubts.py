"""What is not ruled out by what was seen, for a person and for a program.

The text never gives the verdict of a taxon that is not dangerous: nobody shall read a leave to eat in this answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from sporeproof.confusion.appearance import STAGE, View
from sporeproof.confusion.doubt import EXCLUDED, ONE_THING, STANDS, Doubt, NextLook, Standing, is_feared
from sporeproof.confusion.observation import Observation
from sporeproof.confusion.separation import Contrast
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.report.json_text import json_text

SCHEMA = 1

NO_NAME = (
    "This answer names nothing. It knows the {taxa} of this dataset alone, and most fungi are not among them: "
    "what it does not list may still be in your hand. Nothing here allows eating."
)
NOTHING_FITS = (
    "Nothing in this dataset fits all that was seen. Do not eat it. "
    "Either it is not among them or a reading is wrong, and then what is ruled out below may not be."
)
NOTHING_FEARED = "Nothing dangerous of this dataset is left. That is no reason to eat it: others are not in it."
UNCLEAR = "What was given cannot be answered, so nothing is ruled out:"


def doubt_text(doubt: Doubt, form: Form) -> str:
    """Return the answer in words; whoever prints it adds the safety note."""
    if doubt.observation.unclear:
        return "\n".join([UNCLEAR, *(f"  {each}" for each in doubt.observation.unclear)]) + "\n"
    blocks = [
        [NO_NAME.format(taxa=counted_taxa(len(doubt.standings)))],
        _seen(doubt.observation, form),
        _nothing(doubt, form),
        *_left(doubt, form),
        _next(doubt, form),
        list(doubt.warnings),
        _excluded(doubt, form),
    ]
    return "\n\n".join("\n".join(lines) for lines in blocks if lines) + "\n"


def counted_taxa(number: int) -> str:
    """Return how many taxa in words."""
    return "1 taxon" if number == 1 else f"{number} taxa"


# What was seen.


def _seen(seen: Observation, form: Form) -> list[str]:
    lines = ["What was seen of one fruitbody"]
    for id in seen.seen:
        character = form.characters[id]
        notes = [f"Takes no part until `{seen.waits[id]}` is settled."] if id in seen.waits else _notes(character, form)
        lines.append(f"  {character.title}: " + " ".join([f"{_given(seen, character)}.", *notes]))
    if seen.stages:
        said = " or ".join(each for each in form.stages if each in seen.stages)
        lines.append(f"  Stage: {said}. The stages beside it are allowed for, since age is easily misjudged.")
    else:
        lines.append("  Stage: not said, so all are allowed for.")
    if seen.cannot_see:
        hidden = ", ".join(form.characters[id].title for id in seen.cannot_see)
        lines.append(f"  Cannot be seen: {hidden}. What only that would rule out stays below.")
    return lines


def _given(seen: Observation, character: Character) -> str:
    states = [id for id in character.states if id in seen.states.get(character.id, ())]
    if len(states) > 1:
        return " or ".join(states)
    return states[0] if states else _range(seen.ranges[character.id], character)


def _range(given: tuple[float, float], character: Character) -> str:
    low, high = given
    return f"{low:g} {character.unit}" if low == high else f"{low:g} to {high:g} {character.unit}"


def _notes(character: Character, form: Form) -> Iterator[str]:
    """Yield when a reading holds, and what it is not worth."""
    for each in character.read_when:
        yield f"It counts only so: {_small(form.vocabularies['readings'][each].definition)}"
    if not form.level_of(character):
        yield "It is never counted."
    elif not form.weight(character):
        yield "It warns and proves nothing."
    elif not character.every:
        yield "It speaks for this one alone, and counts only beside something that each one must pass."


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


# What is left.


def _nothing(doubt: Doubt, form: Form) -> list[str]:
    if doubt.fits:
        return []
    lines = [NOTHING_FITS]
    for clash in doubt.clashes:
        said = " with ".join(f"`{id}={_written(doubt.observation, form.characters[id])}`" for id in clash)
        lines.append(f"  No taxon here shows {said}: look again.")
    return lines


def _written(seen: Observation, character: Character) -> str:
    if character.is_measured:
        return "..".join(f"{each:g}" for each in dict.fromkeys(seen.ranges[character.id]))
    return ",".join(id for id in character.states if id in seen.states[character.id])


def _left(doubt: Doubt, form: Form) -> Iterator[list[str]]:
    feared = [each for each in doubt.standings if is_feared(each.entry, form)]
    others = [each for each in doubt.standings if not is_feared(each.entry, form)]
    stand = [each for each in feared if each.word == STANDS]
    almost = [each for each in feared if each.word == ONE_THING]
    if stand:
        head = f"Not ruled out, dangerous or unsettled: {len(stand)}"
        yield [head, *_aligned((each.entry.name, _verdict(each.entry, form)) for each in stand)]
    if almost:
        head = f"Probably not, because of one thing; one slip, and it is dangerous or unsettled: {len(almost)}"
        rows = ((each.entry.name, _verdict(each.entry, form), _because(each, doubt.observation)) for each in almost)
        yield [head, *_aligned(rows)]
    if doubt.fits and not stand and not almost:
        yield [NOTHING_FEARED]
    for word, head in (
        (STANDS, "Not ruled out either, which does not make it one of them"),
        (ONE_THING, "Probably not either, because of one thing"),
    ):
        if names := [each.entry.name for each in others if each.word == word]:
            yield [f"{head}: {len(names)}", f"  {', '.join(names)}"]


def _verdict(entry: Entry, form: Form) -> str:
    term = form.vocabularies["verdicts"].get(entry.verdict)
    return _small(term.title) if term else entry.verdict or "no verdict"


def _aligned(rows: Iterable[tuple[str, ...]]) -> list[str]:
    listed = list(rows)
    widths = [max(len(row[at]) for row in listed) for at in range(len(listed[0]))]
    cells = ([cell.ljust(width) for cell, width in zip(row, widths, strict=True)] for row in listed)
    return ["  " + "  ".join(row).rstrip() for row in cells]


def _because(standing: Standing, seen: Observation) -> str:
    """Return the reasons in words: what was seen, and what the taxon shows there."""
    return "; ".join(
        f"{_small(told.character.title)} {_given(seen, told.character)}, there {_shown(standing, told.character)}"
        for told in standing.against
        if told.weight
    )


def _shown(standing: Standing, character: Character) -> str:
    view = standing.look.shown(character)
    if view.range:
        return f"up to {view.range[1]:g}" if character.grows else "{:g} to {:g}".format(*view.range)
    return ", ".join(id for id in character.states if id in view.states)


# What to do, and what is ruled out.


def _next(doubt: Doubt, form: Form) -> list[str]:
    found = doubt.next_look
    if found is None:
        return ["No look is left that would speak against anything dangerous of this dataset."]
    character = found.character
    method = _small(form.vocabularies["methods"][character.seen_by].title)
    how = [_small(form.vocabularies["readings"][each].definition) for each in character.read_when]
    lines = [f"Look next at: {character.title} (`{character.id}`), {method}", *(f"  Only so: {each}" for each in how)]
    if found.opens:
        lines.append(f"  Until it is settled, {', '.join(f'`{id}`' for id in found.opens)} cannot count.")
    return [*lines, *(f"  {id}: {state.means}" for id, state in character.states.items())]


def _excluded(doubt: Doubt, form: Form) -> list[str]:
    """Group what is ruled out by its reasons, so that one wrong reading shows what hangs on it."""
    groups: dict[tuple[str, ...], list[str]] = {}
    out = [each for each in doubt.standings if each.word == EXCLUDED]
    for each in out:
        reasons = tuple(told.character.title for told in each.against if told.weight)
        name = f"{each.entry.name} ({_verdict(each.entry, form)})" if is_feared(each.entry, form) else each.entry.name
        groups.setdefault(reasons, []).append(name)
    lines = [f"  By {_listed(reasons)}: {', '.join(names)}" for reasons, names in groups.items()]
    return [f"Ruled out if all readings are right: {len(out)}", *lines] if out else []


def _listed(reasons: tuple[str, ...]) -> str:
    *first, last = map(_small, reasons)
    return f"{', '.join(first)} and {last}" if first else f"{last} alone, so look twice"


# For a program.


def doubt_json(doubt: Doubt, form: Form) -> str:
    """Return the answer as JSON. The keys are a contract: they change only with the number under ``schema``.

    ``unclear``: sentences on input that cannot be answered; then all else is empty. ``fits``: whether any taxon admits
    all that was seen. ``seen``: per character its states or range, whether it ``counts``, its weight and its level.
    ``stage``: those said, empty for all. ``standings``: each taxon, dangerous ones first, with ``standing`` (stands,
    one-thing, excluded), its separators, and ``against``: the character, what was seen, what the taxon shows, and the
    weight (0 warns only). ``next``: the character to look at, its cost, the share of doubt that it leaves on the
    average, and which characters it lets count; null where no look helps. ``clashes``: readings that no taxon shows.
    """
    seen = doubt.observation
    unclear = bool(seen.unclear)
    return json_text(
        {
            "schema": SCHEMA,
            "unclear": seen.unclear,
            "fits": doubt.fits,
            "seen": [] if unclear else [_seen_for_program(seen, form.characters[id], form) for id in seen.seen],
            STAGE: [] if unclear else [each for each in form.stages if each in seen.stages],
            "cannot_see": [] if unclear else list(seen.cannot_see),
            "standings": [_standing(each, seen, form) for each in doubt.standings],
            "next": _next_for_program(doubt.next_look),
            "clashes": [list(each) for each in doubt.clashes],
            "warnings": list(doubt.warnings),
        }
    )


def _seen_for_program(seen: Observation, character: Character, form: Form) -> dict[str, Any]:
    return {
        "character": character.id,
        "is": _value(View("known", seen.states.get(character.id, frozenset()), seen.ranges.get(character.id))),
        "counts": character.id not in seen.waits,
        "waits_for": seen.waits.get(character.id, ""),
        "weight": form.weight(character),
        "level": form.level_of(character),
    }


def _value(view: View) -> list[Any]:
    return list(view.range) if view.range else sorted(view.states)


def _standing(standing: Standing, seen: Observation, form: Form) -> dict[str, Any]:
    return {
        "taxon_id": standing.entry.key,
        "name": standing.entry.name,
        "verdict": standing.entry.verdict,
        "dangerous": form.is_dangerous(standing.entry.verdict),
        "standing": standing.word,
        "separators": standing.separators,
        "against": [_against(standing, told, seen) for told in standing.against],
    }


def _against(standing: Standing, told: Contrast, seen: Observation) -> dict[str, Any]:
    id = told.character.id
    return {
        "character": id,
        "seen": _value(View("known", seen.states.get(id, frozenset()), seen.ranges.get(id))),
        "shows": _value(standing.look.shown(told.character)),
        "weight": told.weight,
    }


def _next_for_program(found: NextLook | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "character": found.character.id,
        "cost": found.cost,
        "left": round(found.left, 4),
        "opens": list(found.opens),
    }
