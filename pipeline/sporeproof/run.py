"""The order of the steps of each command, and the gate: no release with errors."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.checks.context import Excuse, Pair, Whole
from sporeproof.checks.registry import Rule, all_rules
from sporeproof.findings import Finding, Level, Mark, Problem, Trouble, in_order
from sporeproof.form.load import Form, load_form
from sporeproof.names.answers import Recorded, read_answers
from sporeproof.names.outcome import Use, uses
from sporeproof.records.entry import Entry, Reading
from sporeproof.records.read import (
    TAXA,
    Companion,
    Dataset,
    entry_files,
    read_companions,
    read_entries,
)
from sporeproof.tables.build import APPEARANCE, Facts, build
from sporeproof.tables.resolve import Checklist, references

if TYPE_CHECKING:
    from sporeproof.confusion.appearance import Appearance

PACKAGED_SCHEMA = Path(__file__).parent / "schema"
CRASHED = "run.rule-crashed"
Progress = Callable[[str, int, int], None]


def silent(step: str, done: int, total: int) -> None:
    """Show no progress."""


@dataclass(slots=True)
class Checked:
    """What a check found, and how much it looked at. ``crashed`` counts rules that could not finish."""

    findings: list[Finding]
    entries: int = 0
    only_form: int = 0
    excused: list[Finding] = field(default_factory=list)
    crashed: int = 0
    schema: str = ""
    whole: bool = True

    def count(self, level: Level) -> int:
        """Return the number of findings of one level."""
        return sum(1 for each in self.findings if each.level is level)

    @property
    def has_errors(self) -> bool:
        """Tell whether a release must be refused."""
        return bool(self.crashed) or any(each.level is Level.ERROR for each in self.findings)


def schema_folder(root: Path) -> Path:
    """Return the dataset's own schema, or the packaged copy where it has none."""
    own = root / "schema"
    return own if own.is_dir() else PACKAGED_SCHEMA


def read_whole(root: Path, form: Form, progress: Progress = silent) -> Dataset:
    """Return the dataset below a root folder, entries first."""
    files = list(entry_files(root))
    readings = []
    for done, path in enumerate(files, 1):
        readings += read_entries([path], root, form.entry)
        progress("reading", done, len(files))
    return Dataset(readings, read_companions(root, form.companions))


def check(root: Path, paths: Iterable[Path] = (), progress: Progress = silent) -> Checked:
    """Return the findings of every rule over the dataset, or over the named entries and what they touch."""
    form = load_form(schema_folder(root))
    named = list(paths)
    dataset, judged = _named(root, named, form) if named else _whole(root, form, progress)
    checked = judge(dataset, judged, form, recorded(root), whole=not named, progress=progress)
    checked.schema = str(form.folder)
    return checked


def _whole(root: Path, form: Form, progress: Progress) -> tuple[Dataset, list[Reading]]:
    dataset = read_whole(root, form, progress)
    return dataset, dataset.readings


def recorded(root: Path) -> tuple[Recorded, list[Trouble]]:
    """Return the answers on record and the troubles with their file."""
    return read_answers(root / "dataset" / "names.csv", root)


def _named(root: Path, paths: list[Path], form: Form) -> tuple[Dataset, list[Reading]]:
    """Read the named entries and those they lead to: by file name if possible, else by reading them all."""
    judged = read_entries(paths, root, form.entry)
    companions = read_companions(root, form.companions)
    have = {reading.file: reading for reading in judged}
    words = [word for reading in judged if reading.entry for _, word in references(reading.entry)]
    likely = [root / TAXA / f"{stem_of(word)}.yaml" for word in words]
    for reading in read_entries([path for path in dict.fromkeys(likely) if path.is_file()], root, form.entry):
        have.setdefault(reading.file, reading)
    known = Checklist([each.entry for each in have.values() if each.entry])
    if not all(known.find(word).one for word in words):
        for reading in read_entries(entry_files(root), root, form.entry):
            have.setdefault(reading.file, reading)
    return Dataset(list(have.values()), companions), judged


def stem_of(name: str) -> str:
    """Return the file stem that a binomial asks for.

    >>> stem_of("Amanita phalloides var. alba")
    'amanita-phalloides-var-alba'
    """
    return "-".join(name.lower().replace(".", "").split())


def judge(
    dataset: Dataset,
    judged: list[Reading],
    form: Form,
    answers: tuple[Recorded, list[Trouble]],
    *,
    whole: bool = True,
    rules: Iterable[Rule] | None = None,
    progress: Progress = silent,
) -> Checked:
    """Return the findings of some rules (all by default) on some readings of a dataset."""
    chosen = list(all_rules().values()) if rules is None else list(rules)
    checklist = Checklist(dataset.entries, dataset.companions["retired"].value)
    entries = [each.entry for each in judged if each.entry is not None and (rules is not None or each.entry.sound)]
    run = _Run(chosen, form, checklist)
    for done, reading in enumerate(judged, 1):
        run.each("file", reading.file, reading, form)
        progress("checking", done, len(judged))
    for companion in dataset.companions.values():
        run.each("file", companion.page.file, Reading(companion.page), form)
    for entry in entries:
        run.each("entry", entry, entry, checklist, form)
    asked = list(uses(entries, checklist, answers[0], form)) if run.needs("name") or whole else []
    for use in asked:
        run.each("name", use.entry, use, form)
    if run.needs("pair"):
        for pair in pairs(entries, checklist, form):
            run.each("pair", pair.entry, pair, form)
    if whole:
        context = Whole(dataset.readings, checklist, dataset.companions, asked, answers[1])
        run.each("dataset", "dataset", context, form)
    kept, excused = _excused(run, entries, whole)
    looked = sum(1 for each in judged if each.entry is not None)
    return Checked(in_order(kept), looked, looked - len(entries), excused, run.crashed, whole=whole)


class _Run:
    """Runs rules and gathers what they find; a rule that crashes is a finding, not a lost run."""

    def __init__(self, rules: list[Rule], form: Form, checklist: Checklist) -> None:
        self.rules = rules
        self.form = form
        self.by_per: dict[str, list[Rule]] = {}
        for rule in rules:
            self.by_per.setdefault(rule.per, []).append(rule)
        self.found: list[Finding] = []
        self.crashed = 0
        self.taxa = {entry.file: entry for entry in reversed(checklist.entries)}

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
        return Finding(*(getattr(finding, key) for key in BARE), taxon_id=entry.key, name=entry.name)

    def _crash(self, rule: Rule, subject: Entry | str, error: Exception) -> None:
        self.crashed += 1
        at = Mark(subject) if isinstance(subject, str) else subject.at("name")
        frame = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{Path(frame.filename).name}:{frame.lineno}"
        message = f"The rule {rule.code} stopped here with {type(error).__name__} at {where}: {error}"
        why = "What this rule watches over was not checked here, so the result is not complete."
        mend = "This is a mistake in Sporeproof, not in the entry: report it with this text and the entry."
        self.found.append(Finding(CRASHED, Level.ERROR, message, why, mend, at))


BARE = ("code", "level", "message", "why", "mend", "at")


def pairs(entries: Iterable[Entry], checklist: Checklist, form: Form) -> Iterator[Pair]:
    """Yield each listed confusion that leads to one other entry, with what its claims come to."""
    from sporeproof.confusion.appearance import Appearance, Traits, traits_of
    from sporeproof.confusion.separation import both_ways, contrast

    listed = [
        (entry, link.one, index, each)
        for entry in entries
        for index, each, link in checklist.linked(entry)
        if link.one is not None and link.one is not entry
    ]
    touched = {id(each): each for entry, other, *_ in listed for each in (entry, other)}
    facts = Facts(Checklist(touched.values()), form, {}, [])
    traits = traits_of(build(facts, APPEARANCE), form)
    looks: dict[str, Appearance] = {}

    def look(entry: Entry) -> Appearance:
        if entry.key not in looks:
            looks[entry.key] = Appearance(traits.get(entry.key) or Traits(entry.key), form)
        return looks[entry.key]

    for entry, other, index, each in listed:
        eaten = eaten_of(entry, other, form)
        claimed = [form.characters[id] for id in each.get("told_apart_by") or [] if id in form.characters]
        if eaten is None:
            contrasts = {c.id: both_ways(look(entry), look(other), c, form) for c in claimed}
        else:
            a, b = (entry, other) if eaten is entry else (other, entry)
            contrasts = {c.id: contrast(look(a), look(b), c, form) for c in claimed}
        yield Pair(entry, other, index, each, contrasts, eaten)


def eaten_of(entry: Entry, other: Entry, form: Form) -> Entry | None:
    """Return the edible one of a pair, or None where both or neither are."""
    edible = [each for each in (entry, other) if form.is_edible(each.verdict)]
    return edible[0] if len(edible) == 1 else None


def _excused(run: _Run, entries: list[Entry], whole: bool) -> tuple[list[Finding], list[Finding]]:
    """Take out what an entry excuses; a safety error stays, and an excuse of nothing is found itself."""
    kept, excused = [], []
    codes = {(entry.file, each["code"]) for entry in entries for each in entry.value.get("excused") or [] if "code" in each}
    hit = set()
    for finding in run.found:
        key = (finding.at.file, finding.code)
        if key in codes and finding.code.partition(".")[0] != "safety":
            hit.add(key)
            excused.append(finding)
        else:
            kept.append(finding)
    ran = {rule.code for rule in run.rules if whole or rule.per != "dataset"}
    run.found = []
    for entry in entries:
        for position, each in enumerate(entry.value.get("excused") or []):
            if code := each.get("code"):
                used = (entry.file, code) in hit if code in ran else None
                run.each("excuse", entry, Excuse(entry, position, code, used, code in all_rules()), run.form)
    return kept + run.found, excused
