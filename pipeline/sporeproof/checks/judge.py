"""Runs rules over what was read, and gathers what they find. A rule that crashes is a finding, not a lost run."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.checks.context import Excuse, Pair, Whole
from sporeproof.checks.registry import Rule, all_rules
from sporeproof.findings import Finding, Level, Mark, Trouble, in_order
from sporeproof.form.load import Form
from sporeproof.names.answers import Recorded
from sporeproof.names.outcome import uses
from sporeproof.names.parse import read_ahead
from sporeproof.parts import in_parts
from sporeproof.records.entry import Entry, Reading
from sporeproof.records.read import Dataset
from sporeproof.tables.resolve import Checklist

if TYPE_CHECKING:
    from sporeproof.confusion.proof import Proof
    from sporeproof.confusion.statistics import Figures
    from sporeproof.confusion.suspected import Suspicion
    from sporeproof.names.age import Limit

CRASHED = "run.rule-crashed"
CRASH_WHY = "What this rule watches over was not checked here, so the result is not complete."
CRASH_MEND = "This is a mistake in Sporeproof, not in the entry: report it with this text and the entry."
# An error of this family stands whatever an entry excuses.
NEVER_EXCUSED = "safety"
# Rules on the age of answers wait for the day.
AGED = "aged"
Progress = Callable[[str, int, int], None]


def dated(rules: Iterable[Rule], limit: Limit) -> list[Rule]:
    """Return rules that are ready to run, those on the age of answers with what is too old on one day."""
    return [_dated(each, limit) if each.per == AGED else each for each in rules]


def _dated(rule: Rule, limit: Limit) -> Rule:
    return replace(rule, per="name", find=lambda use, form: rule.find(use, limit, form))


def silent(step: str, done: int, total: int) -> None:
    """Show no progress."""


@dataclass(slots=True)
class Checked:
    """What a check found, and how much it looked at.

    ``crashed`` counts rules that could not finish; ``statistics`` and ``proofs`` are there where they were asked for.
    """

    findings: list[Finding]
    files: list[str] = field(default_factory=list)
    entries: int = 0
    only_form: int = 0
    excused: list[Finding] = field(default_factory=list)
    crashed: int = 0
    schema: str = ""
    whole: bool = True
    statistics: list[Figures] = field(default_factory=list)
    proofs: list[Proof] = field(default_factory=list)

    def count(self, level: Level) -> int:
        """Return the number of findings of one level."""
        return sum(1 for each in self.findings if each.level is level)

    @property
    def has_errors(self) -> bool:
        """Tell whether a release must be refused."""
        return any(each.level is Level.ERROR for each in self.findings)

    @property
    def exit_code(self) -> int:
        """0 nothing wrong, 1 errors, 2 a rule crashed, so that the check is not complete."""
        return 2 if self.crashed else int(self.has_errors)


def judge(
    dataset: Dataset,
    judged: list[Reading],
    form: Form,
    answers: tuple[Recorded, list[Trouble]],
    *,
    whole: bool = True,
    rules: Iterable[Rule] | None = None,
    progress: Progress = silent,
    graded: bool = False,
) -> Checked:
    """Return the findings of some rules (all by default) on some readings of a dataset.

    Rules on proofs run only where the entries are ``graded``, since a proof takes its time; rules on the age of answers
    only where they were :func:`dated`, since no rule knows what day it is.

    An entry whose form is broken is judged by its form alone until that is mended, since half of what it says
    is missing; a chosen rule looks at it nevertheless.
    """
    chosen = list(all_rules().values()) if rules is None else list(rules)
    companions = dataset.companions
    checklist = Checklist(dataset.entries, companions["retired"].value, companions["sources"].value)
    run = _Run(chosen, form, checklist)
    suspicion = _suspicion(checklist, form, dataset.threshold) if run.needs("suspects") else None
    parts = in_parts(
        lambda part: _judged(run, part, answers[0], suspicion, all_=rules is not None),
        judged,
        lambda done: progress("checking", done, len(judged)),
    )
    run.found = [finding for found, _ in parts for finding in found]
    run.crashed = sum(crashed for _, crashed in parts)
    entries = _judgeable(judged, all_=rules is not None)
    if suspicion and not whole:
        for each in suspicion.touched(entries):
            run.each("suspects", each.entry, each, form)
    proofs = _proofs(run, entries) if graded else []
    if whole:
        from sporeproof.confusion.suspects import missing_of

        for companion in companions.values():
            run.each("file", companion.page.file, Reading(companion.page), form)
        asked = list(uses(entries, checklist, answers[0], form))
        lacking = missing_of(checklist, form)
        context = Whole(dataset.readings, checklist, companions, asked, answers[0], answers[1], lacking)
        run.each("dataset", "dataset", context, form)
    skipped = {per for per, done in (("dataset", whole), ("proof", graded)) if not done} | {AGED}
    kept, excused = _excused(run, entries, skipped)
    return Checked(
        in_order(kept),
        files=[each.file for each in judged],
        entries=len(judged),
        only_form=len(judged) - len(entries),
        excused=in_order(excused),
        crashed=run.crashed,
        whole=whole,
        proofs=proofs,
    )


def _proofs(run: _Run, entries: list[Entry]) -> list[Proof]:
    """Return the proofs of the edible entries, judged."""
    from sporeproof.confusion.proved import proofs_of

    proofs = proofs_of(entries, run.checklist, run.form)
    for each in proofs:
        run.each("proof", each.entry, each, run.form)
    return proofs


def _judgeable(readings: Sequence[Reading], *, all_: bool) -> list[Entry]:
    return [each.entry for each in readings if each.entry is not None and (all_ or each.entry.sound)]


def _judged(
    run: _Run, readings: Sequence[Reading], answers: Recorded, suspicion: Suspicion | None, *, all_: bool
) -> tuple[list[Finding], int]:
    """Return what the rules on all but the whole dataset find in some readings, and how many crashed."""
    run.found, run.crashed = [], 0
    for reading in readings:
        if reading.page.troubles:
            run.each("file", reading.file, reading, run.form)
    entries = _judgeable(readings, all_=all_)
    for entry in entries:
        run.each("entry", entry, entry, run.checklist, run.form)
    if run.needs("name"):
        asked = list(uses(entries, run.checklist, answers, run.form))
        read_ahead(use.name.name for use in asked if not use.outcome.is_held(run.form))
        for use in asked:
            run.each("name", use.entry, use, run.form)
    if run.needs("pair"):
        for pair in pairs(entries, run.checklist, run.form):
            run.each("pair", pair.entry, pair, run.form)
    for each in suspicion.each(entries) if suspicion else ():
        run.each("suspects", each.entry, each, run.form)
    return run.found, run.crashed


def _suspicion(checklist: Checklist, form: Form, threshold: float | None) -> Suspicion:
    from sporeproof.confusion.suspected import Suspicion

    return Suspicion(checklist, form, threshold)


class _Run:
    """The rules of one run by what they look at, and what they have found so far."""

    def __init__(self, rules: list[Rule], form: Form, checklist: Checklist) -> None:
        self.rules = rules
        self.form = form
        self.checklist = checklist
        self.by_per: dict[str, list[Rule]] = {}
        for rule in rules:
            self.by_per.setdefault(rule.per, []).append(rule)
        self.found: list[Finding] = []
        self.crashed = 0
        self.taxa = {entry.file: entry for entry in checklist.entries}

    def needs(self, per: str) -> bool:
        return per in self.by_per

    def each(self, per: str, subject: Entry | str, *arguments: Any) -> None:
        for rule in self.by_per.get(per, ()):
            try:
                self.found += [self._named(rule.finding(problem)) for problem in rule.find(*arguments)]
            except Exception as error:  # a rule's own mistake must not cost the other findings
                self._crash(rule, subject, error)

    def _named(self, finding: Finding) -> Finding:
        """Add whom the finding is about, known from the file it points to."""
        entry = self.taxa.get(finding.at.file)
        if entry is None or finding.taxon_id:
            return finding
        return replace(finding, taxon_id=entry.key, name=entry.name)

    def _crash(self, rule: Rule, subject: Entry | str, error: Exception) -> None:
        self.crashed += 1
        at = Mark(subject) if isinstance(subject, str) else subject.at("name")
        frame = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{Path(frame.filename).name}:{frame.lineno}"
        message = f"The rule {rule.code} stopped here with {type(error).__name__} at {where}: {error}"
        self.found.append(Finding(CRASHED, Level.ERROR, message, CRASH_WHY, CRASH_MEND, at))


def pairs(entries: Iterable[Entry], checklist: Checklist, form: Form) -> Iterator[Pair]:
    """Yield each listed confusion that leads to one other entry, with what its claims come to."""
    from sporeproof.confusion.appearance import appearance_of
    from sporeproof.confusion.separation import eaten_first, told

    listed = [
        (entry, link.one, index, each)
        for entry in entries
        for index, each, link in checklist.linked(entry)
        if link.one is not None and link.one is not entry
    ]
    for entry, other, index, each in listed:
        a, b, mutual = eaten_first(entry, other, form)
        claimed = [form.characters[word] for word in each.get("told_apart_by") or [] if word in form.characters]
        looks = [appearance_of(side, form) for side in (a, b) if claimed]
        contrasts = {c.id: told(looks[0], looks[1], c, form, mutual=mutual) for c in claimed}
        yield Pair(entry, other, index, each, contrasts, None if mutual else a)


def _excused(run: _Run, entries: list[Entry], skipped: set[str]) -> tuple[list[Finding], list[Finding]]:
    """Take out what an entry excuses; a safety error stays, and an excuse of nothing is found itself."""
    excuses = [
        (entry, position, each["code"])
        for entry in entries
        for position, each in enumerate(entry.value.get("excused") or [])
        if "code" in each
    ]
    codes = {(entry.file, code) for entry, _, code in excuses if code.partition(".")[0] != NEVER_EXCUSED}
    excused = [each for each in run.found if (each.at.file, each.code) in codes]
    kept = [each for each in run.found if (each.at.file, each.code) not in codes]
    used = {(each.at.file, each.code) for each in excused}
    ran = {rule.code for rule in run.rules if rule.per not in skipped}
    run.found = []
    for entry, position, code in excuses:
        hit = (entry.file, code) in used if code in ran else None
        run.each("excuse", entry, Excuse(entry, position, code, hit, code in all_rules()), run.form)
    return kept + run.found, excused
