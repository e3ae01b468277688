"""Tries every seeded fault on the real dataset and prints how many the rules find; it must be all of them.

Names are not looked at, since none of the faults touches one. Found is what was not found before the change, in the
same entries; what only stands as a notice is not.
"""

from __future__ import annotations

import os
import re
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path

from sporeproof.checks.judge import CRASHED, judge
from sporeproof.checks.registry import Rule, all_rules
from sporeproof.findings import Finding, Trouble
from sporeproof.names.answers import Recorded
from sporeproof.questions import Opened, opened
from sporeproof.records.entry import Reading
from sporeproof.records.read import Dataset
from sporeproof.run import recorded
from tests.faults.seeds import KINDS, Fault, Record, Seeds, seeds_of

ROOT = Path(__file__).parents[2]
ASIDE = "name"
# So many faults are handed to a process at a time: those of one entry stand together and share what stood before.
TOGETHER = 20


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a fault: the codes and levels that found it, or why it counts as missed."""

    fault: Fault
    found_by: frozenset[str]
    missed: str


class Trials:
    """A dataset on which faults are tried; what was found before each change is kept."""

    def __init__(
        self, on: Opened, answers: tuple[Recorded, list[Trouble]], rules: Iterable[Rule] | None = None
    ) -> None:
        self.on = on
        self.answers = answers
        everything = (each for each in all_rules().values() if each.family != ASIDE)
        self.rules = list(everything if rules is None else rules)
        self.before: dict[tuple[frozenset[str], bool], set[tuple[str, str, str]]] = {}

    def outcome(self, fault: Fault) -> Outcome:
        """Return what comes of a fault."""
        before = self._before(fault.judged, fault.whole)
        found = self._found(fault.changed, fault.judged, fault.whole)
        new = [each for each in found if _told(each) not in before]
        hits = [each for each in new if hit(fault, each)]
        return Outcome(fault, frozenset(f"{each.code} ({each.level})" for each in hits), _missed(new, hits))

    def _before(self, judged: frozenset[str], whole: bool) -> set[tuple[str, str, str]]:
        if (judged, whole) not in self.before:
            self.before[judged, whole] = {_told(each) for each in self._found({}, judged, whole)}
        return self.before[judged, whole]

    def _found(self, changed: dict[str, Record | None], judged: frozenset[str], whole: bool) -> list[Finding]:
        now = [_changed(each, changed) for each in self.on.dataset.readings]
        dataset = Dataset([each for each in now if each is not None], self.on.dataset.companions)
        these = [each for each in dataset.readings if each.file in judged]
        return judge(dataset, these, self.on.form, self.answers, whole=whole, rules=self.rules).findings


def _changed(reading: Reading, changed: dict[str, Record | None]) -> Reading | None:
    if reading.entry is None or reading.file not in changed:
        return reading
    value = changed[reading.file]
    return None if value is None else Reading(reading.page, replace(reading.entry, value=value))


def _told(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.at.file, finding.message


def hit(fault: Fault, finding: Finding) -> bool:
    """Tell whether a finding is what a fault calls for; that a rule stopped never is."""
    return (
        finding.code != CRASHED
        and finding.level in fault.levels
        and finding.code.startswith(fault.codes)
        and (not fault.file or finding.at.file == fault.file)
        and (fault.at is None or finding.at == fault.at)
        and names(finding, fault.about)
    )


def names(finding: Finding, word: str) -> bool:
    """Tell whether a finding is about the taxon of that name, or says the word as a whole one."""
    return finding.name == word or bool(re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", finding.message))


def _missed(new: list[Finding], hits: list[Finding]) -> str:
    """Say why nothing of what is new counts; a rule that stopped spoils the whole, whatever others found."""
    if crashed := [each.message for each in new if each.code == CRASHED]:
        return crashed[0]
    if hits:
        return ""
    other = ", ".join(sorted({f"{each.code} ({each.level})" for each in new}))
    return f"only this is new: {other}" if other else "nothing new was found"


def tried(trials: Trials, faults: Sequence[Fault], cores: int = 1) -> list[Outcome]:
    """Return what comes of each fault, in their order, on one core or several."""
    if cores == 1:
        return [trials.outcome(each) for each in faults]
    _work[:] = [trials, faults]
    try:
        with ProcessPoolExecutor(cores, mp_context=get_context("fork")) as pool:
            done = pool.map(_try, range(len(faults)), chunksize=TOGETHER)
            return [Outcome(fault, *each) for fault, each in zip(faults, done, strict=True)]
    finally:
        _work.clear()


# What the forked processes try, and on what: they see it as it stood when they were forked.
_work: list[Trials | Sequence[Fault]] = []


def _try(number: int) -> tuple[frozenset[str], str]:
    trials, faults = _work
    assert isinstance(trials, Trials)
    assert not isinstance(faults, Trials)
    outcome = trials.outcome(faults[number])
    return outcome.found_by, outcome.missed


def report(outcomes: Sequence[Outcome], seeds: Seeds) -> Iterator[str]:
    """Yield the lines that are printed: the table, each fault that was missed, and what was left out."""
    yield from ("| fault | found / total | found by |", "| --- | --- | --- |")
    for kind in KINDS:
        of_kind = [each for each in outcomes if each.fault.kind == kind]
        found = [each for each in of_kind if not each.missed]
        codes = Counter(code for each in found for code in each.found_by)
        by = ", ".join(f"{code} {count}" for code, count in sorted(codes.items(), key=lambda each: (-each[1], each[0])))
        yield f"| {kind} | {len(found)} / {len(of_kind)} | {by} |"
    yield f"| all | {sum(not each.missed for each in outcomes)} / {len(outcomes)} | |"
    yield from (f"MISSED: {each.fault.kind}: {each.fault.says}: {each.missed}" for each in outcomes if each.missed)
    yield from (f"NOTHING TO TRY: {kind}" for kind in _untried(outcomes))
    yield f"Blind spots, left out: {len(seeds.blind)}"
    yield from (f"  {each}" for each in seeds.blind)
    yield f"Cannot be made here, left out: {len(seeds.impossible)}"
    yield from (f"  {each}" for each in seeds.impossible)


def _untried(outcomes: Sequence[Outcome]) -> list[str]:
    tried_kinds = {each.fault.kind for each in outcomes}
    return [kind for kind in KINDS if kind not in tried_kinds]


def passed(outcomes: Sequence[Outcome]) -> bool:
    """Tell whether there are faults of every kind and each of them was found."""
    return not _untried(outcomes) and not any(each.missed for each in outcomes)


def main(root: Path = ROOT, cores: int | None = None) -> int:
    """Try all faults, print what came of them, and return 1 where any was missed."""
    start = time.perf_counter()
    on = opened(root)
    seeds = seeds_of(on)
    outcomes = tried(Trials(on, recorded(root)), seeds.faults, cores or os.cpu_count() or 1)
    for line in report(outcomes, seeds):
        print(line)  # noqa: T201
    print(f"{len(outcomes)} faults in {time.perf_counter() - start:.0f} s.")  # noqa: T201
    return 0 if passed(outcomes) else 1


if __name__ == "__main__":
    sys.exit(main())
