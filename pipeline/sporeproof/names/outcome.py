"""What the answers on a name mean for us (names.md): one outcome a name, and the other opinions beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sporeproof.findings import Mark
from sporeproof.form.load import Form
from sporeproof.names.answers import Answer, Source
from sporeproof.records.entry import Entry, Name
from sporeproof.tables.build import Tables
from sporeproof.tables.resolve import Checklist, Link, spelled

CURRENT = "current"
RENAMED = "renamed"
RESPELLED = "respelled"
MERGED = "merged"
SPLIT = "split"
HOMONYM = "homonym"
DOUBTFUL = "doubtful"
HIGHER_ONLY = "higher-only"
UNKNOWN = "unknown"
UNASKED = "unasked"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What is known of one name: the outcome, the answer that speaks, and the second opinions."""

    name: str
    authorship: str
    outcome: str = UNASKED
    answer: Answer | None = None
    opinions: tuple[Answer, ...] = ()

    def is_held(self, form: Form) -> bool:
        """Tell whether a checklist that was truly asked holds the name."""
        if self.answer is None or is_unconfirmed(self.answer, form):
            return False
        return self.outcome in {CURRENT, RENAMED}

    def others(self) -> list[str]:
        """Return what second opinions make of the name, where that is not what the answer that speaks makes of it."""
        said = meaning(self.answer) if self.answer else ""
        return sorted({meaning(each) for each in self.opinions} - {said})


@dataclass(frozen=True, slots=True)
class Use:
    """A name where an entry bears it, with its outcome and where the accepted name leads inside the dataset."""

    entry: Entry
    name: Name
    outcome: Outcome
    accepted: Link
    checklist: Checklist

    @property
    def is_current(self) -> bool:
        """Tell whether the name is the entry's current one."""
        return self.name.role == "current"

    @property
    def at(self) -> Mark:
        """Where the name stands."""
        return self.entry.at(*self.name.path)

    @property
    def leads_home(self) -> bool:
        """Tell whether the accepted name is one that the entry itself bears, now or formerly."""
        return any(entry is self.entry for entry in self.accepted.entries)


def outcome_of(name: str, authorship: str, source: Source, form: Form) -> Outcome:
    """Return the outcome of a name.

    The newest live or backbone answer speaks, then a registry's, then general knowledge; within one kind the
    newest, and on the same day the first on record.
    """
    answers = source.asked(name, authorship)
    if not answers:
        return Outcome(name, authorship)
    first, *others = sorted(answers, key=lambda each: (_rank(each, form), _newest_first(each)))
    return Outcome(name, authorship, first.outcome, first, tuple(others))


def _rank(answer: Answer, form: Form) -> int:
    """Live and backbone answers share the first rank; what nobody confirmed comes last."""
    if form.flagged("obtained", answer.obtained, "authoritative"):
        return 0
    return 2 if is_unconfirmed(answer, form) else 1


def _newest_first(answer: Answer) -> tuple[int, ...]:
    """Of an answer without a day nobody knows how old it is: it comes last."""
    return (int(not answer.checked_on), *(-ord(sign) for sign in answer.checked_on))


def newest(outcome: Outcome, form: Form) -> Answer | None:
    """Return the answer by which the age of what is known counts; None for a name that was never asked.

    It is the newest live or backbone answer, and where there is none the newest of any kind.
    """
    if outcome.answer is None:
        return None
    answers = (outcome.answer, *outcome.opinions)
    firm = [each for each in answers if form.flagged("obtained", each.obtained, "authoritative")]
    return max(firm or answers, key=lambda each: each.checked_on)


def meaning(answer: Answer) -> str:
    """Return what an answer says that a name is today: the outcome, and the accepted name if it is another one."""
    accepted = spelled(answer.accepted_name)
    return f"{answer.outcome} ({accepted})" if accepted and accepted != spelled(answer.name) else answer.outcome


def is_unconfirmed(answer: Answer, form: Form) -> bool:
    """Tell whether an answer comes from general knowledge only."""
    return form.flagged("obtained", answer.obtained, "unconfirmed")


def uses(entries: Iterable[Entry], checklist: Checklist, source: Source, form: Form) -> Iterator[Use]:
    """Yield every current and former name of some entries with its outcome."""
    for entry in entries:
        for name in entry.names():
            outcome = outcome_of(name.name, name.authorship, source, form)
            accepted = outcome.answer.accepted_name if outcome.answer else ""
            yield Use(entry, name, outcome, checklist.find(accepted) if accepted else Link(""), checklist)


def filled(tables: Tables, source: Source, form: Form) -> Tables:
    """Return the tables with what the answers say in the table ``names``."""
    rows = []
    for name, authorship, taxon_id, role, *_ in tables["names"]:
        outcome = outcome_of(name, authorship or "", source, form)
        said = outcome.answer or Answer(name)
        title, day = said.checklist_title or None, said.checked_on or None
        rows.append((name, authorship, taxon_id, role, title, day, said.obtained or None, outcome.outcome))
    return {**tables, "names": rows}
