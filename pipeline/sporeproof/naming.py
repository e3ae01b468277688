"""The order of the steps of the commands on names: check them, apply what follows, ask a checklist again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

from sporeproof.checks.judge import Checked, Progress, dated, judge, silent
from sporeproof.checks.registry import all_rules
from sporeproof.findings import Level
from sporeproof.form.load import Form
from sporeproof.names import journal, patch, refresh_journal, refreshing
from sporeproof.names.age import Limit
from sporeproof.names.answers import Answer
from sporeproof.names.choices import ChoiceRefused, Choices, read_choices, read_since
from sporeproof.names.live import Clock, Patience, Service
from sporeproof.names.outcome import Use, uses
from sporeproof.names.planned import applied_lines
from sporeproof.names.refreshing import Due, Refreshed
from sporeproof.names.spelling import spelling_of
from sporeproof.report.summary import counted
from sporeproof.run import (
    Stopped,
    checklist_of,
    nothing_half_done,
    read_whole,
    recorded,
    schema_of,
    unread_files,
)

AGAIN = "Run `sporeproof names refresh` again: it goes on where this one ended."


@dataclass(frozen=True, slots=True)
class NamesChecked:
    """Every name of a dataset with its outcome, and what the rules on names find."""

    uses: list[Use]
    checked: Checked

    def lines(self) -> list[str]:
        """Return the names as an aligned table: name, what it is here, outcome, accepted name, how it is known."""
        rows = [("name", "here", "outcome", "accepted name", "known from", "asked on")]
        for use in self.uses:
            answer = use.outcome.answer
            said = (answer.accepted_name, answer.obtained, answer.checked_on) if answer else ("", "", "")
            rows.append((use.name.name, use.name.role, use.outcome.outcome, *said))
        widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
        return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


# What a complete check cannot leave open: names that were never asked, or too long ago.
COMPLETING = frozenset({"name.unasked", "name.answer-too-old"})
# Rules on the record of answers itself: a name is judged by what can be read there.
ON_ANSWERS = "dataset.answer"


def names_check(root: Path, *, complete: bool = False, limit: Limit | None = None) -> NamesChecked:
    """Return every name with its outcome; the age of answers is judged by a limit only.

    With ``complete``, a name that was never asked, or too long ago, is an error.
    """
    form = schema_of(root)
    dataset = read_whole(root, form)
    rules = [rule for rule in all_rules().values() if rule.family == "name" or rule.code.startswith(ON_ANSWERS)]
    checked = judge(dataset, dataset.readings, form, recorded(root), rules=dated(rules, limit) if limit else rules)
    if complete:
        checked.findings = [
            replace(each, level=Level.ERROR) if each.code in COMPLETING else each for each in checked.findings
        ]
    checklist = checklist_of(dataset)
    return NamesChecked(list(uses(checklist.entries, checklist, recorded(root)[0], form)), checked)


@dataclass(frozen=True, slots=True)
class NamesApplied:
    """What was done, in words, and whether a rename that the answers call for waits for a person."""

    lines: list[str]
    refused: bool


def names_apply(
    root: Path, *, unconfirmed: bool = False, dry_run: bool = False, accept: Iterable[str] = (), since: str = ""
) -> NamesApplied:
    """Make the renames that the answers call for, or say what would be made; with ``accept``, what a person chose."""
    try:
        if dry_run:
            nothing_half_done(root)
        form = schema_of(root)
        finished = [] if dry_run else journal.recover(root, form)
        dataset = read_whole(root, form)
        ended = dataset.companions["retired"]
        chosen = Choices(read_choices(accept), read_since(since), ended.page.text)
        answers, troubles = recorded(root)
        if troubles:
            raise Stopped(f"{troubles[0].at.file} cannot be read whole, so no name is changed. Run `sporeproof check`.")
        planned = patch.plan(
            dataset.readings, checklist_of(dataset), answers, form,
            unconfirmed=unconfirmed, choices=chosen if chosen.accept else None,
        )  # fmt: skip
        if planned.merges and ended.page.troubles:
            raise Stopped(f"{ended.page.file} cannot be read whole, so no id is ended: mend it first.")
        if not dry_run:
            journal.apply(planned, root, form)
    except (journal.NotApplied, ChoiceRefused) as error:
        raise Stopped(str(error)) from error
    begun = [f"Finished what was begun: {file}" for file in finished]
    return NamesApplied(begun + applied_lines(planned, dry_run=dry_run), refused=bool(planned.refused))


@dataclass(frozen=True, slots=True)
class NamesRefreshed:
    """What was done, in words, and the exit code: 0 all answered, 1 some were not, 2 the service was not reached."""

    lines: list[str]
    exit_code: int


def names_refresh(
    root: Path,
    *,
    checklist: str,
    max_age: timedelta,
    dry_run: bool = False,
    clock: Clock | None = None,
    patience: Patience | None = None,
    progress: Progress = silent,
) -> NamesRefreshed:
    """Ask a checklist about the names that need it and record the answers, or say what would be asked."""
    clock = clock or Clock()
    try:
        key = refreshing.checklist_key(checklist)
        limit = Limit(clock.now().date(), max_age)
        nothing_half_done(root)
        form = schema_of(root)
        if dry_run:
            return _foreseen(root, form, key, limit)
        return _refreshed(root, form, limit, Service(key, clock, patience or Patience()), progress)
    except refresh_journal.NotRefreshed as error:
        raise Stopped(str(error)) from error


def _foreseen(root: Path, form: Form, key: str, limit: Limit) -> NamesRefreshed:
    """Say what would be asked. Nothing is written, and no connection is made."""
    left = refresh_journal.left_behind(root, key)
    _, due, unread = _due(root, form, key, limit, left)
    lines = [f"{each.whole}: {each.why}" for each in due]
    head = [f"{counted(len(left), 'answer')} of a run that ended early would be taken over."] if left else []
    return NamesRefreshed([*head, *unread, *lines, f"{counted(len(due), 'name')} would be asked."], 0)


def _refreshed(root: Path, form: Form, limit: Limit, service: Service, progress: Progress) -> NamesRefreshed:
    key, terms = service.checklist, spelling_of(form.folder).terms
    with refresh_journal.opened(root, key) as journal:
        record, due, unread = _due(root, form, key, limit, journal.found)
        done = refreshing.ask_all(due, service, journal, terms, progress)
        refreshing.bring_in([*journal.found, *done.answers], root, limit.today.isoformat())
        journal.done()
    lines = [*unread, *_told(done, journal.found, record, key)]
    if not (done.failed or done.stopped):
        return NamesRefreshed(lines, 0)
    return NamesRefreshed(lines, 1 if done.answers else 2)


def _due(
    root: Path, form: Form, key: str, limit: Limit, left: list[Answer]
) -> tuple[list[Answer], list[Due], list[str]]:
    """Return the record, the names to ask, and which files could not be read for their names."""
    dataset = read_whole(root, form)
    record = refreshing.read_record(root).all()
    due = refreshing.due(refreshing.names_of(dataset.entries), [*record, *left], key, limit)
    unread = unread_files(dataset)
    warned = [f"Not read whole, so some names may be missing: {', '.join(unread)}. Run `sporeproof check`."]
    return record, due, warned if unread else []


def _told(done: Refreshed, taken_over: list[Answer], record: list[Answer], key: str) -> Iterator[str]:
    """Yield what a person should know, the counts first and what was not answered last."""
    if taken_over:
        yield f"{counted(len(taken_over), 'answer')} of a run that ended early are taken over."
    if not done.due:
        yield "No name needs to be asked: every answer is young enough." if not taken_over else "No other name was due."
        return
    title = refreshing.TITLES.get(key, "the checklist") if not done.release.title else done.release.title
    release = f"release {done.release.name}" if done.release.name else "a release that it did not tell"
    yield f"{counted(len(done.answers), 'name')} of {len(done.due)} answered by {title} ({key}), {release}."
    for outcome, count in sorted(Counter(each.outcome for each in done.answers).items()):
        yield f"  {count:>5}  {outcome}"
    yield from _changed([*taken_over, *done.answers], record)
    for name, why in done.failed:
        yield f"Not answered: {name}: {why}."
    if done.stopped:
        yield done.stopped
    if done.left:
        yield f"Not asked: {counted(done.left, 'name')}. {AGAIN}"


def _changed(new: Iterable[Answer], record: list[Answer]) -> Iterator[str]:
    """Yield each name of which the same checklist says something else than before."""
    before = {
        (each.name, each.authorship, each.checklist_key): each
        for each in record
        if each.obtained == refresh_journal.LIVE
    }
    for each in new:
        old = before.get((each.name, each.authorship, each.checklist_key))
        if old and (old.outcome, old.accepted_name) != (each.outcome, each.accepted_name):
            yield f"Changed: {each.name} was {_said(old)}, is {_said(each)}."


def _said(answer: Answer) -> str:
    leads = answer.accepted_name and answer.accepted_name != answer.name
    return f"{answer.outcome} ({answer.accepted_name})" if leads else answer.outcome
