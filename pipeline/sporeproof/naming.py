"""The order of the steps of the commands on names that ask a checklist."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from sporeproof.checks.judge import Progress, silent
from sporeproof.form.load import Form
from sporeproof.names import refresh_journal, refreshing
from sporeproof.names.age import Limit
from sporeproof.names.answers import Answer
from sporeproof.names.live import Clock, Patience, Service
from sporeproof.names.refreshing import Due, Refreshed
from sporeproof.names.spelling import spelling_of
from sporeproof.report.summary import counted
from sporeproof.run import Stopped, nothing_half_done, read_whole, schema_of, unread_files

AGAIN = "Run `sporeproof names refresh` again: it goes on where this one ended."


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
