"""What was seen of one fruitbody, as somebody writes it down, and whether it can all be true (engine.md, 6).

What was not seen takes no part. Neither does a character that applies to some kinds of fruitbody only, until the
find is known to be one of them: on a puffball everybody sees no ring.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from sporeproof.confusion.appearance import STAGE, Appearance, Range, States, Traits
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED
from sporeproof.text.nearest import did_you_mean

MEASURE = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,3})?)(?:\.\.([0-9]{1,6}(?:\.[0-9]{1,3})?))?")


@dataclass(slots=True)
class Observation:
    """What was seen of one fruitbody, by character; several states mean that one cannot say which.

    ``waits`` names, for a character that takes no part yet, the one that must be settled first. ``unclear`` says in
    sentences what cannot be understood or cannot all be true; nothing is concluded then.
    """

    states: dict[str, States] = field(default_factory=dict)
    ranges: dict[str, Range] = field(default_factory=dict)
    stages: States = frozenset()
    cannot_see: tuple[str, ...] = ()
    waits: dict[str, str] = field(default_factory=dict)
    unclear: list[str] = field(default_factory=list)

    @property
    def seen(self) -> list[str]:
        """The characters that were seen, those that take no part included."""
        return [*self.states, *self.ranges]

    def look(self, form: Form, **more: States) -> Appearance:
        """Return what takes part, as the accepted side of a comparison; ``more`` is supposed to be seen too."""
        states = {id: seen for id, seen in (self.states | more).items() if id not in self.waits}
        ranges = {id: seen for id, seen in self.ranges.items() if id not in self.waits}
        return Appearance(_seen_traits(states, ranges), form)


def observe(words: Iterable[str], form: Form, stage: str = "", cannot_see: Iterable[str] = ()) -> Observation:
    """Return what was seen, from words such as ``gill-colour=white,cream``, ``cap-width=40..60``, ``stage=young``."""
    seen = Observation(cannot_see=tuple(dict.fromkeys(_folded(each) for each in cannot_see)))
    given: dict[str, str] = {}
    for word in [*words, *([f"{STAGE}={stage}"] if stage else [])]:
        name, _, value = (_folded(part) for part in word.partition("="))
        if name in given and value:
            seen.unclear.append(f"`{name}` is given twice: {given[name]} and {value}. {UNSURE}")
        elif trouble := _taken(seen, name, value, form) if value else _nothing_said(name, form):
            seen.unclear.append(trouble)
        if value:
            given.setdefault(name, value)
    seen.unclear += _cannot(seen, form)
    seen.unclear += [] if seen.unclear else _impossible(seen, form)
    seen.waits = {id: above for id in seen.seen if (above := unsettled(seen, form.characters[id], form))}
    if not seen.seen and not seen.unclear:
        seen.unclear.append("Say at least one thing that was seen, such as its body plan.")
    return seen


UNSURE = "Say each thing once, for one fruitbody; with a comma between states where you cannot tell which it is."


def _folded(word: str) -> str:
    return word.strip().casefold()


def _nothing_said(name: str, form: Form) -> str:
    if name == STAGE:
        return f"`{STAGE}` lacks its word. {_stages(form)}"
    if name not in form.characters:
        return _no_character(name, form)
    return f"`{name}` lacks what was seen of it. {_may_be(form.characters[name])}"


def _no_character(name: str, form: Form) -> str:
    known = [*form.characters, STAGE]
    parts = set(name.split("-"))
    related = ", ".join(id for id in known if id != name and parts & set(id.split("-")))
    guess = did_you_mean(name, known) or (f"Near it are: {related}." if related else "The catalogue lists them all.")
    return f"There is no character `{name}`. {guess}"


def _may_be(character: Character) -> str:
    if character.is_measured:
        return f"Write a number in {character.unit} or two, smallest first: `{character.id}=40..60`."
    return f"It may be: {', '.join(character.states)}."


def _stages(form: Form) -> str:
    return f"It may be: {', '.join(form.stages)}."


def _taken(seen: Observation, name: str, value: str, form: Form) -> str:
    """Put what a word says into the observation, or return what is wrong with it."""
    if name == STAGE:
        seen.stages = frozenset(value.split(","))
        return _wrong_states(STAGE, value, list(form.stages), _stages(form))
    if name not in form.characters:
        return _no_character(name, form)
    character = form.characters[name]
    if character.is_measured:
        return _measured(seen, character, value)
    seen.states[name] = frozenset(value.split(","))
    return _wrong_states(name, value, list(character.states), _may_be(character))


def _wrong_states(name: str, value: str, known: list[str], may_be: str) -> str:
    states = value.split(",")
    for state in states:
        if state not in known:
            told = f"`{state}` is no state of `{name}`." if state else f"A state is missing in `{name}={value}`."
            return " ".join(filter(None, [told, did_you_mean(state, known), may_be]))
        if states.count(state) > 1:
            return f"`{state}` is given twice in `{name}={value}`: say it once, or say the other state that was meant."
    return ""


def _measured(seen: Observation, character: Character, value: str) -> str:
    found = MEASURE.fullmatch(value)
    if not found:
        return f"`{value}` is no size for `{character.id}`. {_may_be(character)}"
    low, high = float(found[1]), float(found[2] or found[1])
    if not 0 < low <= high:
        return f"`{character.id}={value}`: a size is above zero, and the smaller one comes first."
    seen.ranges[character.id] = (low, high)
    return ""


def _cannot(seen: Observation, form: Form) -> Iterator[str]:
    for id in seen.cannot_see:
        if id not in form.characters:
            yield _no_character(id, form)
        elif id in seen.seen:
            yield f"`{id}` is given as seen and as something that cannot be seen: which is it?"


def _impossible(seen: Observation, form: Form) -> Iterator[str]:
    """Yield a sentence for each character that nothing like the find can have."""
    for id in seen.seen:
        character = form.characters[id]
        while character.applies_if:
            above, states = character.applies_if
            if (given := seen.states.get(above)) and not given & states:
                said = ",".join(sorted(given))
                yield f"`{id}` cannot be seen where `{above}={said}`: one of the two is wrong or of another fruitbody."
                break
            character = form.characters[above]


def unsettled(seen: Observation, character: Character, form: Form) -> str:
    """Return the character that must be settled before this one takes part, or nothing."""
    if not character.applies_if:
        return ""
    above, states = character.applies_if
    higher = unsettled(seen, form.characters[above], form)
    given = seen.states.get(above)
    return higher or ("" if given and given <= states else above)


def _seen_traits(states: dict[str, States], ranges: dict[str, Range]) -> Traits:
    return Traits(
        "",
        {id: {UNSTAGED: seen} for id, seen in states.items()},
        {id: {UNSTAGED: seen} for id, seen in ranges.items()},
        accepted_ranges=dict(ranges),
    )
