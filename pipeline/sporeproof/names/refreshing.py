"""Asks a checklist again about the names that need it, and brings the answers into the record.

What needs it: a name that this checklist was never asked about live, one whose authorship or rank has changed
since, one whose answer is too old. A name that fails leaves the record as it was.
"""

from __future__ import annotations

import math
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from sporeproof.names.age import Limit, read_day
from sporeproof.names.answers import MOST_ANSWERS, RECORD, Answer, Recorded, read_answers, written
from sporeproof.names.journal import ASIDE
from sporeproof.names.live import KINGDOM, Release, Service
from sporeproof.names.matching.asked import Asked, Given, asked_all
from sporeproof.names.matching.usage import Match, Usage
from sporeproof.names.outcome import CURRENT
from sporeproof.names.refresh_journal import JOURNAL, LIVE, Journal, NotRefreshed
from sporeproof.names.service_answer import Fault
from sporeproof.names.verdict import Verdict, judged
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import spelled
from sporeproof.text.files import replace as write_whole

# The checklists that have a word of their own, with their titles where the service does not tell them.
CHECKLISTS = {
    "catalogue-of-life": "7ddf754f-d193-4cc9-b351-99906754a03b",
    "backbone": "d7dddbf4-2cf0-4f39-9b2a-bb099caae36c",
}
TITLES = {
    CHECKLISTS["catalogue-of-life"]: "Catalogue of Life, extended release",
    CHECKLISTS["backbone"]: "GBIF Backbone Taxonomy",
}
# How answers of an index were obtained.
FROM_FILE = "backbone-file"
# After so many names in a row without an answer, nothing more is asked.
IN_VAIN = 5
A_DAY = 24 * 60 * 60
INFRASPECIFIC_WORDS = 3
SEVERAL = "; "
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class Due:
    """A name that is to be asked, as it stands and as it is read, and why."""

    given: Given
    asked: Asked
    why: str = ""

    @property
    def whole(self) -> str:
        """The name with its authorship, as it stands."""
        return f"{self.given.name} {self.given.authorship}".strip()


@dataclass(slots=True)
class Refreshed:
    """What came of a run: the new answers, and the names without one, with the reason.

    ``stopped`` says why not all were asked, empty where all were.
    """

    due: list[Due]
    release: Release = field(default_factory=Release)
    answers: list[Answer] = field(default_factory=list)
    failed: list[tuple[str, str]] = field(default_factory=list)
    stopped: str = ""

    @property
    def left(self) -> int:
        """How many names were not even asked."""
        return len(self.due) - len(self.answers) - len(self.failed)


def checklist_key(word: str) -> str:
    """Return the key of a checklist by its word or its UUID; raises :class:`NotRefreshed` for another word."""
    if word in CHECKLISTS:
        return CHECKLISTS[word]
    try:
        return str(uuid.UUID(word))
    except ValueError:
        raise NotRefreshed(
            f"`{word}` is no checklist: write {' or '.join(CHECKLISTS)}, or the key (a UUID) that the service gives it."
        ) from None


def names_of(entries: Iterable[Entry]) -> list[Given]:
    """Return every current and former name once by its spelling and authorship; current ones say their rank."""
    found: dict[tuple[str, str], Given] = {}
    named = [(entry, name) for entry in entries for name in entry.names() if name.name.strip()]
    for entry, name in sorted(named, key=lambda each: each[1].role != CURRENT):
        rank = entry.rank.replace("-", " ") if name.role == CURRENT else ""
        given = Given(name.name, name.authorship, rank, {"kingdom": KINGDOM})
        found.setdefault(_key(name.name, name.authorship), given)
    return sorted(found.values(), key=lambda each: (each.name, each.authorship))


@dataclass(frozen=True, slots=True)
class Source:
    """Whom answers come from: how they were obtained, the checklist's key, its title and release, and the day."""

    obtained: str
    checklist: str
    title: str = ""
    release: str = ""
    day: str = ""


def due(
    names: Iterable[Given], answers: Iterable[Answer], checklist: str, limit: Limit, obtained: str = LIVE
) -> list[Due]:
    """Return the names that need to be asked, with the reason."""
    spelt: set[str] = set()
    newest: dict[tuple[str, str], Answer] = {}
    for each in sorted(answers, key=lambda answer: answer.checked_on):
        if (each.obtained, each.checklist_key) == (obtained, checklist):
            spelt.add(spelled(each.name))
            newest[_key(each.name, each.authorship)] = each
    given = list(names)
    all_ = [Due(*each) for each in zip(given, asked_all(given), strict=True)]
    last = [newest.get(_key(each.name, each.authorship)) for each in given]
    reasons = [_reason(each, then, spelt, limit) for each, then in zip(all_, last, strict=True)]
    return [replace(each, why=why) for each, why in zip(all_, reasons, strict=True) if why]


def _reason(name: Due, last: Answer | None, spelt: set[str], limit: Limit) -> str:
    """Return why a name is to be asked; empty where its last answer still holds."""
    if last is None:
        return "its authorship has changed since" if spelled(name.given.name) in spelt else "never asked"
    if last.asked_rank != name.asked.rank:
        return "its rank has changed since" if last.asked_rank else "asked before without its rank"
    if limit.is_too_old(read_day(last.checked_on)):
        return f"last asked on {last.checked_on or 'a day that is not recorded'}"
    return ""


def _key(name: str, authorship: str) -> tuple[str, str]:
    """Return what makes two names the same question."""
    return spelled(name), "".join(authorship.split())


def ask_all(
    wanted: list[Due], service: Service, journal: Journal, terms: dict[str, str], progress: Progress
) -> Refreshed:
    """Ask each name, keep each answer at once, and stop where the service is away or asks for peace.

    ``terms`` are what stands before the last epithet, by rank.
    """
    done = Refreshed(wanted)
    release = service.release() if wanted else Release()
    if isinstance(release, Fault):
        done.stopped = _stopped(service, release)
        release = Release()
    done.release, in_vain = release, 0
    title = release.title or TITLES.get(service.checklist, "")
    source = Source(LIVE, service.checklist, title, release.name, service.clock.now().date().isoformat())
    for number, each in enumerate([] if done.stopped else wanted, 1):
        found = service.match(each.asked)
        progress("asking", number, len(wanted))
        if isinstance(found, Match):
            in_vain = 0
            done.answers.append(answer_of(each, found, source, terms))
            journal.note(done.answers[-1])
            continue
        in_vain += 1
        done.failed.append((each.whole, found.says))
        done.stopped = _stopped(service, found, in_vain)
        if done.stopped:
            break
    return done


def _stopped(service: Service, fault: Fault, in_vain: int = 0) -> str:
    """Return why nothing more is asked after a fault; empty where the next name may fare better."""
    if service.asks_to_stop(fault):
        minutes = math.ceil(min(fault.wait or 0, A_DAY) / 60)
        return f"The service asks not to be asked again for {minutes} minutes{' or more' * (minutes >= A_DAY / 60)}."
    return f"The service is away, or refuses us: {in_vain} names in a row were not answered." * (in_vain >= IN_VAIN)


def answer_of(name: Due, match: Match, source: Source, terms: dict[str, str]) -> Answer:
    """Return what is recorded of an answer."""
    verdict = judged(name.asked, match)
    accepted = verdict.accepted
    return Answer(
        name=name.given.name,
        authorship=name.given.authorship,
        outcome=verdict.outcome,
        accepted_name=_accepted_name(name.asked, verdict, terms),
        accepted_authorship=accepted.authorship if accepted else "",
        obtained=source.obtained,
        checklist_key=source.checklist,
        checklist_title=source.title,
        usage_key=match.usage.key if match.usage else "",
        accepted_key=accepted.key if accepted else "",
        match_type=match.match_type,
        confidence="" if match.confidence is None else str(match.confidence),
        checked_on=source.day,
        checklist_release=source.release,
        candidates=SEVERAL.join(each.whole for each in verdict.candidates),
        asked_rank=name.asked.rank,
    )


def _accepted_name(asked: Asked, verdict: Verdict, terms: dict[str, str]) -> str:
    """Return the accepted name as it is written; the sign of a hybrid, which no answer holds, as it was asked."""
    if verdict.accepted is None:
        return ""
    if asked.is_hybrid and verdict.outcome == CURRENT:
        return asked.verbatim
    return as_written(verdict.accepted, terms)


def as_written(usage: Usage, terms: dict[str, str]) -> str:
    """Return a name without author, with the term of its rank before the last epithet.

    >>> as_written(Usage("1", "Fictum commune album", rank="VARIETY"), {"variety": "var."})
    'Fictum commune var. album'
    """
    words, term = usage.canonical.split(), terms.get(usage.rank.lower(), "")
    if term and len(words) == INFRASPECIFIC_WORDS and term not in words:
        words.insert(2, term)
    return " ".join(words)


def merged(record: Iterable[Answer], new: Iterable[Answer], today: str) -> list[Answer]:
    """Return a record with new answers in it; each takes the place of older ones on the same question."""
    latest: dict[tuple[str, ...], Answer] = {}
    for each in new:
        key = (*_key(each.name, each.authorship), each.checklist_key, each.obtained)
        if key not in latest or latest[key].checked_on <= each.checked_on:
            latest[key] = each
    kept = []
    for each in record:
        rival = latest.get(key := (*_key(each.name, each.authorship), each.checklist_key, each.obtained))
        if rival is not None and rival.checked_on < each.checked_on <= today:
            rival = None
            del latest[key]  # an earlier run left it, and another has asked since
        if rival is None:
            kept.append(each)
    return kept + list(latest.values())


def read_record(root: Path) -> Recorded:
    """Return the answers on record; raises where a part could not be read, and would be lost by writing."""
    path = root / RECORD
    answers, troubles = read_answers(path, root)
    if troubles or (path.exists() and path.stat().st_size > MOST_ANSWERS):
        raise NotRefreshed(
            f"{RECORD} cannot be read whole, and what is not read would be lost. Run `sporeproof check`, mend what it "
            "says of that file, then run this again."
        )
    return answers


def bring_in(new: list[Answer], root: Path, today: str) -> None:
    """Write new answers into the record as it stands now, whole or not at all."""
    if not new:
        return
    path = root / RECORD
    for left in path.parent.iterdir():
        if (found := ASIDE.fullmatch(left.name)) and found[1] == path.name:
            left.unlink(missing_ok=True)
    try:
        write_whole(path, written(merged(read_record(root).all(), new, today)))
    except OSError as error:
        raise NotRefreshed(
            f"{RECORD} cannot be written: {error.strerror}. It is as it was, and the answers are kept in "
            f"{JOURNAL}: mend that and run `sporeproof names refresh` again."
        ) from error
