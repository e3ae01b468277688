"""What is told of the names of a dataset beyond their check: opinions side by side, and the yearly review."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sporeproof.findings import plain
from sporeproof.form.load import Form
from sporeproof.names import patch
from sporeproof.names.age import Limit, read_day
from sporeproof.names.answers import Answer, Recorded, read_answers
from sporeproof.names.choices import Choices
from sporeproof.names.outcome import Use, is_unconfirmed, outcome_of, uses
from sporeproof.names.planned import Plan
from sporeproof.names.reviewing import Key, Reviewed, choices_of, key_of, reviewed, with_refusals
from sporeproof.questions import JSON, Opened, opened
from sporeproof.report.name_opinions import Borne, Contested, Said, opinions_json, opinions_text
from sporeproof.report.names_review import Review, review_markdown
from sporeproof.run import Stopped, recorded
from sporeproof.tables.resolve import spelled

DESCRIPTOR = "datapackage.json"
NAMES = "names"
RECORD_ENDING = ".csv"
NEEDED = {"name", "authorship", "outcome"}


def opinions(root: Path, format_: str = "text") -> str:
    """Return the names whose answers on record disagree, side by side: as text, or as JSON."""
    asked = opened(root)
    answers, troubles = recorded(root)
    found = list(uses(asked.checklist.entries, asked.checklist, answers, asked.form))
    several = {_key(use) for use in found if use.outcome.opinions}
    unread = " ".join(each for each in (asked.unread(), _lost(len(troubles))) if each)
    tell = opinions_json if format_ == JSON else opinions_text
    return tell(list(contested(found, asked.form)), len(several), unread)


def _lost(troubles: int) -> str:
    """Say that answers are missing where the record of them cannot be read whole."""
    said = "dataset/names.csv cannot be read whole, so answers are missing here. Run `sporeproof check`."
    return said if troubles else ""


def contested(found: Iterable[Use], form: Form) -> Iterator[Contested]:
    """Yield each name on which the answers disagree, once, with every place where it is borne."""
    together: dict[tuple[str, str], list[Use]] = {}
    for use in found:
        if use.outcome.others():
            together.setdefault(_key(use), []).append(use)
    for each in together.values():
        outcome = each[0].outcome
        answers = [answer for answer in (outcome.answer, *outcome.opinions) if answer]
        said = (_said(answer, form, speaks=answer is outcome.answer) for answer in answers)
        yield Contested(outcome.name, outcome.authorship, tuple(map(_borne, each)), tuple(said))


def _key(use: Use) -> tuple[str, str]:
    return spelled(use.name.name), use.name.authorship


def _borne(use: Use) -> Borne:
    return Borne(use.entry.key, use.entry.name, use.name.role, use.at.file, use.at.line)


def _said(answer: Answer, form: Form, *, speaks: bool) -> Said:
    accepted = f"{answer.accepted_name} {answer.accepted_authorship}".strip() or answer.candidates
    return Said(
        answer.obtained,
        answer.checklist_title,
        answer.checklist_release,
        answer.outcome,
        accepted,
        answer.checked_on,
        speaks,
        is_unconfirmed(answer, form),
    )


@dataclass(frozen=True, slots=True)
class Earlier:
    """What a review compares with: how it is called, the outcomes by name, and its version where it is a release."""

    called: str = ""
    outcomes: dict[Key, str] | None = None
    version: str = ""

    @property
    def next_version(self) -> str:
        """The least version of the data that can follow where an id ends."""
        major, minor, *_ = [*self.version.split("."), "", ""]
        return f"{major}.{int(minor) + 1}.0" if self.version else ""


def review(root: Path, limit: Limit, previous: Path | None = None, since: date | None = None) -> str:
    """Return what has come of the names since a release, an earlier record or a day, as Markdown."""
    asked = opened(root)
    answers, troubles = recorded(root)
    found = list(uses(asked.checklist.entries, asked.checklist, answers, asked.form))
    earlier = Earlier()
    if previous and previous.suffix == RECORD_ENDING:
        earlier = Earlier(f"the record {previous.name}", _said_by(found, _earlier_record(previous), asked.form))
    elif previous:
        earlier = _released(previous, str(asked.dataset.companions["package"].value.get("name", "")))
    elif since:
        older = [each for each in answers.all() if (day := read_day(each.checked_on)) and day < since]
        earlier = Earlier(f"what was on record before {since}", _said_by(found, Recorded(older), asked.form))
    made = reviewed(found, earlier.outcomes or {}, limit, asked.checklist, asked.form, earlier.next_version)
    made = list(with_refusals(made, _planned(made, found, asked, answers, earlier).refused))
    unread = " ".join(each for each in (asked.unread(), _lost(len(troubles))) if each)
    return review_markdown(Review(str(limit.today), earlier.called, len(found), made, limit.told(), unread))


def _planned(made: list[Reviewed], found: list[Use], asked: Opened, answers: Recorded, earlier: Earlier) -> Plan:
    """Return the plan for all edits that leave nothing to choose; it is never carried out."""
    chosen = Choices(
        choices_of(made, found), earlier.next_version or "0.1.0", asked.dataset.companions["retired"].page.text
    )
    return patch.plan(asked.dataset.readings, asked.checklist, answers, asked.form, unconfirmed=True, choices=chosen)


def _said_by(found: list[Use], before: Recorded, form: Form) -> dict[Key, str]:
    """Return what earlier answers made of each name."""
    named = {key_of(use.name.name, use.name.authorship): use.name for use in found}
    return {key: outcome_of(each.name, each.authorship, before, form).outcome for key, each in named.items()}


def _earlier_record(path: Path) -> Recorded:
    """Return the answers in an earlier copy of the record; stop where it cannot be read whole."""
    answers, troubles = read_answers(path, path.parent)
    if troubles:
        raise Stopped(f"{path} cannot be read as an earlier record of answers, so there is nothing to compare with.")
    return answers


def _released(previous: Path, name: str) -> Earlier:
    """Return the outcomes in a released package; stop where it cannot be read, or is of other data."""
    from sporeproof.release.read import read_package
    from sporeproof.release.refusals import ReleaseError

    folder = previous.parent if previous.name == DESCRIPTOR else previous
    try:
        package = read_package(folder)
    except ReleaseError as error:
        raise Stopped(str(error)) from error
    if name and package.name != name:
        raise Stopped(f"{folder} is a version of {plain(package.name)} and not of {name}. Give a version of {name}.")
    frame = package.frames.get(NAMES)
    if frame is None or not set(frame.columns) >= NEEDED:
        raise Stopped(f"{folder} holds no table of names with their outcomes, so there is nothing to compare with.")
    rows = frame.select(sorted(NEEDED)).iter_rows(named=True)
    outcomes = {key_of(str(row["name"]), str(row["authorship"] or "")): str(row["outcome"] or "") for row in rows}
    return Earlier(f"{package.name} {package.version}", outcomes, package.version)
