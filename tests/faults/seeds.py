"""Makes the seeded faults: changes to what the entries of a dataset say, each of which some rule has to find.

They are made in memory, and nothing of the original is touched. The texts of the entries stay as they are, so that a
finding about what was changed points to the nearest place there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from sporeproof.checks.context import Pair
from sporeproof.checks.judge import pairs
from sporeproof.confusion.appearance import appearance_of
from sporeproof.confusion.suspected import Suspicion
from sporeproof.confusion.suspects import can_harm
from sporeproof.findings import Level, Mark
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.questions import Opened
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist

Record = dict[str, Any]
Stated = list[Any]

DROPPED = "a dangerous confusion is dropped"
SWAPPED = "a deadly verdict is swapped to edible"
WIDENED = "a claimed character is widened until it overlaps"
ACCEPTED = "a state is accepted that the entry lacks"
DELETED = "a suspect is deleted"
YOUNG = "the young stage of a suspect is deleted"
KINDS = (DROPPED, SWAPPED, WIDENED, ACCEPTED, DELETED, YOUNG)

GRAVE = frozenset({Level.ERROR, Level.WARNING})


@dataclass(frozen=True, slots=True)
class Fault:
    """A change to a dataset, and what must be found then that was not found before.

    ``changed`` holds what each changed file says now, None where it is gone; ``judged`` are the files to check, and
    ``whole`` asks for the rules on the whole dataset. A finding counts that has one of ``levels``, a code that begins
    with one of ``codes``, names ``about``, and stands in ``file`` or at ``at`` where these are given.
    """

    kind: str
    says: str
    changed: dict[str, Record | None]
    judged: frozenset[str]
    codes: tuple[str, ...]
    about: str
    file: str = ""
    at: Mark | None = None
    levels: frozenset[Level] = GRAVE
    whole: bool = False


@dataclass(slots=True)
class Seeds:
    """All faults of a dataset. ``blind`` are the dropped confusions that nothing recorded would suggest.

    ``impossible`` are those that cannot be made here, with the reason; neither is counted among the faults.
    """

    faults: list[Fault] = field(default_factory=list)
    blind: list[str] = field(default_factory=list)
    impossible: list[str] = field(default_factory=list)


def seeds_of(opened: Opened) -> Seeds:
    """Return every fault of every kind that can be made of a dataset."""
    seeds = Seeds()
    _drop(opened, seeds)
    seeds.faults += _swapped(opened)
    seeds.faults += _widened(opened)
    _accept(opened, seeds)
    _delete(opened, seeds)
    return seeds


def _drop(opened: Opened, seeds: Seeds) -> None:
    """Take out all blocks by which an edible entry and one of its dangerous suspects lead to one another."""
    suspicion = Suspicion(opened.checklist, opened.form, opened.dataset.threshold)
    for entry in _edible(opened):
        suspected = suspicion.of(entry)
        listed = suspected.authored & suspected.suspects.dangerous
        for other in suspected.named(listed & suspected.computed):
            seeds.faults.append(_dropped(entry, other, opened.checklist))
        seeds.blind += [f"{entry.name} / {other.name}" for other in suspected.named(listed & ~suspected.computed)]


def _dropped(entry: Entry, other: Entry, checklist: Checklist) -> Fault:
    changed: dict[str, Record | None] = {}
    for one, away in ((entry, other), (other, entry)):
        listed = one.value.get("confusions") or []
        left = [each for each in listed if away not in checklist.find(each.get("with", "")).entries]
        if len(left) < len(listed):
            changed[one.file] = with_value(one.value, left, "confusions")
    return Fault(
        DROPPED,
        f"{entry.name} / {other.name}",
        changed,
        frozenset({entry.file, other.file}),
        ("safety.unlisted-confusion",),
        other.name,
        file=entry.file,
    )


def _swapped(opened: Opened) -> Iterator[Fault]:
    """Give each deadly entry the plainest edible verdict; opinions, cautions and poisonings stay."""
    form = opened.form
    edible = next(id for id in form.vocabularies["verdicts"] if form.is_edible(id) and not form.is_conditional(id))
    for entry in opened.checklist.entries:
        if form.is_deadly(entry.verdict):
            swapped = with_value(entry.value, edible, "edibility", "verdict")
            yield Fault(SWAPPED, entry.name, {entry.file: swapped}, frozenset({entry.file}), ("",), entry.name)


def _widened(opened: Opened) -> Iterator[Fault]:
    """Let the other side of each claim that separates show what is accepted of the edible side.

    Between two of a kind each is the other side in turn, since one way that does not separate spoils the claim.
    """
    for pair in pairs(opened.checklist.entries, opened.checklist, opened.form):
        a, b = (pair.other, pair.entry) if pair.eaten is pair.other else (pair.entry, pair.other)
        for index, id in pair.claims("yes"):
            yield _overlapping(pair, index, a, b, opened.form.characters[id], opened.form)
            if pair.eaten is None:
                yield _overlapping(pair, index, b, a, opened.form.characters[id], opened.form)


def _overlapping(pair: Pair, index: int, a: Entry, b: Entry, character: Character, form: Form) -> Fault:
    raw = (b.value.get("characters") or {}).get(character.id)
    return Fault(
        WIDENED,
        f"{pair.entry.name} / {pair.other.name}: {character.id} of {b.name}",
        {b.file: with_value(b.value, _reaching(raw, a, character, form), "characters", character.id)},
        frozenset({a.file, b.file}),
        ("safety.claim-does-not-separate", "safety.claim-is-one-way"),
        character.id,
        at=pair.at_claim(index),
    )


def _reaching(raw: Any, a: Entry, character: Character, form: Form) -> Any:
    """Return a character's value that overlaps with what is accepted of an entry, at every stage.

    A range is drawn to the nearest end of the accepted one. What nobody recorded is recorded as just what is accepted.
    """
    accepted = appearance_of(a, form).accepted(character)
    if accepted.range is None:
        states = [id for id in character.states if id in accepted.states]
        return restated(raw, lambda given: [*given, *(id for id in states if id not in given)])
    low, high = accepted.range
    return restated(raw, lambda given: [min(high, given[0]), max(low, given[-1])] if given else [low, high])


def _accept(opened: Opened, seeds: Seeds) -> None:
    """Add to each accepted character that comes in states the first state of the catalogue that is not recorded."""
    for entry in _edible(opened):
        for id, only in entry.accept_only.items():
            character = opened.form.characters.get(id)
            if character is None or character.is_measured or id not in entry.characters:
                continue
            has = {state for states in entry.characters[id].by_stage.values() for state in states}
            lacking = [state for state in character.states if state not in has and state not in only]
            if lacking:
                seeds.faults.append(_accepted(entry, id, [*only, lacking[0]]))
            else:
                seeds.impossible.append(f"{ACCEPTED}: {entry.name} has every state of {id}")


def _accepted(entry: Entry, id: str, states: Stated) -> Fault:
    return Fault(
        ACCEPTED,
        f"{entry.name}: {id} {states[-1]}",
        {entry.file: with_value(entry.value, states, "edibility", "accept_only", id)},
        frozenset({entry.file}),
        ("entry.", "safety."),
        id,
        file=entry.file,
        levels=frozenset({Level.ERROR}),
    )


def _delete(opened: Opened, seeds: Seeds) -> None:
    """Take out the entry of each taxon that edible ones must be compared with, then only its young stage."""
    gone, aged = [], []
    for name, ids in _asked_young(opened.form).items():
        entry = opened.checklist.find(name).one
        if entry is None or not can_harm(entry, opened.form):
            seeds.impossible.append(f"{DELETED}: no entry of a dangerous taxon bears the name {name}")
            continue
        gone.append(_missing(DELETED, name, entry, None))
        aged.append(_missing(YOUNG, name, entry, _without_young(entry, ids, opened.form)))
    seeds.faults += gone + aged


def _asked_young(form: Form) -> dict[str, set[str]]:
    """Return the characters that must be on record of the young of each taxon that entries are compared with."""
    found: dict[str, set[str]] = {}
    for expected in form.suspects.values():
        for name in expected.taxa:
            found.setdefault(name, set()).update(expected.records[form.stages[0]])
    return found


def _missing(kind: str, name: str, entry: Entry, value: Record | None) -> Fault:
    """A fault of the dataset as a whole: it is there that suspects are missed."""
    return Fault(kind, name, {entry.file: value}, frozenset(), ("safety.missing-suspect",), name, whole=True)


def _without_young(entry: Entry, ids: set[str], form: Form) -> Record:
    """Return what an entry says without the young of some characters; a value of no stage is one of the mature."""
    value = entry.value
    for id in ids & entry.characters.keys():
        raw, (young, mature, *_) = value["characters"][id], form.stages
        states = raw["is"] if isinstance(raw, dict) and "is" in raw else raw
        by_stage = states if isinstance(states, dict) else {mature: states}
        value = with_value(value, {stage: each for stage, each in by_stage.items() if stage != young}, "characters", id)
    return value


def _edible(opened: Opened) -> list[Entry]:
    return [entry for entry in opened.checklist.entries if opened.form.is_edible(entry.verdict)]


def with_value(record: Record, new: Any, *path: str) -> Record:
    """Return a record that says something else at the end of a path; the one given stays as it is.

    >>> with_value({"a": {"b": 1, "c": 2}}, 3, "a", "b")
    {'a': {'b': 3, 'c': 2}}
    """
    key, *below = path
    return {**record, key: with_value(record.get(key) or {}, new, *below) if below else new}


def restated(raw: Any, change: Callable[[Stated], Stated]) -> Any:
    """Return a character's value, however it was written, with what it gives at every stage changed.

    >>> restated({"young": "white", "mature": ["pink"]}, lambda given: [*given, "brown"])
    {'young': ['white', 'brown'], 'mature': ['pink', 'brown']}
    """
    if isinstance(raw, dict) and "is" in raw:
        return {**raw, "is": restated(raw["is"], change)}
    if isinstance(raw, dict):
        return {stage: restated(each, change) for stage, each in raw.items()}
    return change(raw if isinstance(raw, list) else [] if raw is None else [raw])
