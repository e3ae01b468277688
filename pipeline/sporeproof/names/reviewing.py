"""What has come of the names since an earlier day or release: what needs an edit, which, and whom it touches."""

from __future__ import annotations

import shlex
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from sporeproof.findings import Mark, plain
from sporeproof.form.load import Form
from sporeproof.names.age import Limit, read_day
from sporeproof.names.choices import OPEN, offers
from sporeproof.names.outcome import (
    CURRENT,
    DOUBTFUL,
    HIGHER_ONLY,
    HOMONYM,
    MERGED,
    RENAMED,
    RESPELLED,
    SPLIT,
    UNASKED,
    UNKNOWN,
    Use,
    is_unconfirmed,
    meaning,
    newest,
)
from sporeproof.names.planned import Refusal
from sporeproof.tables.resolve import Checklist, references, spelled

ELSEWHERE = "elsewhere"
BACK = "back"
TOO_OLD = "too-old"
DIFFER = "differ"
# The sections of a review, the most urgent first.
KINDS = (
    SPLIT, HOMONYM, MERGED, RENAMED, ELSEWHERE, DOUBTFUL, HIGHER_ONLY, RESPELLED, UNKNOWN, BACK, UNASKED, TOO_OLD,
    DIFFER,
)  # fmt: skip
MOVED = frozenset({RENAMED, MERGED})
Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Touch:
    """An entry that refers to another one: where, and by which word."""

    taxon: str
    at: Mark
    word: str


@dataclass(frozen=True, slots=True)
class Reviewed:
    """One name for one reason: where it stands, what it was and is, the edit it needs, and whom that touches.

    ``was`` is the earlier outcome, empty where there is none to compare with. ``leads_to`` and ``says`` tell what the
    answer that speaks gives, and who gives it. Of several ``commands`` a person takes one; ``reason`` tells why none
    would be carried out as things stand, ``todo`` what to do then.
    """

    kind: str
    name: str
    authorship: str
    role: str
    taxon_id: str
    taxon: str
    verdict: str
    at: Mark
    was: str
    now: str
    leads_to: str
    says: str
    commands: tuple[str, ...] = ()
    reason: str = ""
    todo: tuple[str, ...] = ()
    touches: tuple[Touch, ...] = ()

    @property
    def changed(self) -> bool:
        """Tell whether the outcome is another one than before."""
        return bool(self.was) and self.was != self.now


def key_of(name: str, authorship: str) -> Key:
    """Return by what a name is found again in an earlier release."""
    return spelled(name), authorship


def reviewed(
    found: list[Use], before: Mapping[Key, str], limit: Limit, checklist: Checklist, form: Form, since: str = ""
) -> list[Reviewed]:
    """Return every name that a person should look at, the most urgent and the most dangerous first.

    ``before`` holds the earlier outcomes; ``since`` is the version that a command names for an id that ends.
    """
    led_to = Counter(_accepted(use) for use in found if use.is_current and use.outcome.outcome in MOVED)
    touching = _touching(checklist)
    made = [
        _reviewed(use, kind, before, touching, form, since)
        for use in found
        for kind in kinds_of(use, before.get(key_of(use.name.name, use.name.authorship), ""), led_to, limit, form)
    ]
    verdicts = list(form.vocabularies["verdicts"])
    order = {verdict: at for at, verdict in enumerate(verdicts)}
    return sorted(
        made, key=lambda each: (KINDS.index(each.kind), not each.changed, order.get(each.verdict, -1), each.name)
    )


def kinds_of(use: Use, was: str, led_to: Mapping[str, int], limit: Limit, form: Form) -> Iterator[str]:
    """Yield why a person should look at a name; nothing where all is as it should be."""
    if kind := _open(use, led_to, form):
        yield kind
    elif use.outcome.outcome == CURRENT and was not in {"", CURRENT, UNASKED}:
        yield BACK
    answer = newest(use.outcome, form)
    if answer and limit.is_too_old(read_day(answer.checked_on)):
        yield TOO_OLD
    if use.outcome.others():
        yield DIFFER


def _open(use: Use, led_to: Mapping[str, int], form: Form) -> str:
    """Return how a name is open; empty where it is settled, as a former name is that leads home or is not held."""
    outcome = use.outcome.outcome
    if not use.is_current:
        wrong = form.flagged("name-roles", use.name.role, "misapplied")
        if outcome in MOVED:
            return "" if use.leads_home or wrong else ELSEWHERE
        if outcome in {CURRENT, UNKNOWN} or (outcome == RESPELLED and use.leads_home):
            return ""
        return "" if wrong or form.flagged("name-roles", use.name.role, "misspelt") else outcome
    if outcome in MOVED:
        others = [each for each in use.accepted.entries if each is not use.entry]
        return MERGED if others or led_to[_accepted(use)] > 1 else RENAMED
    return "" if outcome == CURRENT or outcome not in KINDS else outcome


def _accepted(use: Use) -> str:
    return spelled(use.outcome.answer.accepted_name) if use.outcome.answer else ""


def _reviewed(
    use: Use, kind: str, before: Mapping[Key, str], touching: Mapping[str, tuple[Touch, ...]], form: Form, since: str
) -> Reviewed:
    answer = use.outcome.answer
    commands = tuple(_commands(use, form, since)) if kind in OPEN and use.is_current else ()
    return Reviewed(
        kind,
        use.name.name,
        use.name.authorship,
        use.name.role,
        use.entry.key,
        use.entry.name,
        use.entry.verdict,
        use.at,
        before.get(key_of(use.name.name, use.name.authorship), ""),
        use.outcome.outcome,
        "; ".join(use.outcome.others()) if kind == DIFFER else "; ".join(_led(use, form)),
        f"{meaning(answer)} by {_who(answer.checklist_title, answer.checklist_release, answer.obtained)}"
        + (", unconfirmed" if is_unconfirmed(answer, form) else "")
        + f", asked on {answer.checked_on or 'an unknown day'}"
        if answer
        else "",
        commands,
        touches=touching.get(use.entry.file, ()),
    )


def _led(use: Use, form: Form) -> list[str]:
    """Return the names that the answer that speaks gives."""
    return [each.whole for each in offers(use, form) if each.answer is use.outcome.answer]


def _who(title: str, release: str, obtained: str) -> str:
    return " ".join(each for each in (title, release, f"({obtained})") if each)


def _commands(use: Use, form: Form, since: str) -> Iterator[str]:
    """Yield the command for each name that may be chosen; a shell takes each for what it says and nothing else."""
    if use.outcome.outcome == SPLIT:
        return
    for offer in offers(use, form):
        if offer.answer is not use.outcome.answer or offer.name == spelled(use.name.name):
            continue
        words = ["sporeproof", "names", "apply", "--accept", f"{use.name.name}={offer.whole}"]
        bearers = use.checklist.find(offer.name).entries
        ends = any(spelled(each.name) == offer.name for each in bearers if each is not use.entry)
        words += ["--since", since or "VERSION"] if ends else []
        words += ["--unconfirmed"] if is_unconfirmed(offer.answer, form) else []
        yield shlex.join(plain(each) for each in words)


def _touching(checklist: Checklist) -> dict[str, tuple[Touch, ...]]:
    """Return by an entry's file whoever refers to it."""
    found: dict[str, list[Touch]] = {}
    for entry in checklist.entries:
        for path, word in references(entry):
            for other in checklist.find(word).entries:
                found.setdefault(other.file, []).append(Touch(entry.name, entry.at(*path), word))
    return {file: tuple(touches) for file, touches in found.items()}


def choices_of(made: Iterable[Reviewed], found: Iterable[Use]) -> dict[str, str]:
    """Return what a plan would have to do where only one name may be chosen: new names by the ids of entries."""
    named = {(use.entry.key, use.name.name): use for use in found if use.is_current}
    wanted = {}
    for each in made:
        use = named.get((each.taxon_id, each.name))
        if use and each.leads_to and (each.kind == SPLIT or len(each.commands) == 1):
            wanted[each.taxon_id] = each.leads_to.partition(";")[0]
    return wanted


def with_refusals(made: Iterable[Reviewed], refused: Iterable[Refusal]) -> Iterator[Reviewed]:
    """Yield what is reviewed, with the reason and the steps where a plan would not carry it out."""
    why: dict[str, Refusal] = {each.entry.key: each for each in refused}
    for each in made:
        refusal = why.get(each.taxon_id) if each.kind in OPEN and each.role == "current" else None
        yield replace(each, reason=refusal.reason, todo=refusal.todo) if refusal else each
