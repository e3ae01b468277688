"""The order of the steps of `verify`: a received package is opened, judged again, and computed again.

That its files agree with one another shows little: somebody may have changed all of them alike. So the entries are
rebuilt from its tables, the rules that are marked for it run on them, and all that the engine says is worked out anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.checks.judge import Checked, judge
from sporeproof.checks.registry import released_rules
from sporeproof.findings import SAFETY_NOTE, Finding, Level
from sporeproof.form.load import Form
from sporeproof.names.answers import Recorded
from sporeproof.report.json_text import json_text
from sporeproof.report.summary import counted
from sporeproof.run import PACKAGED_SCHEMA, build_filled, checklist_of, collector_paused, schema_of
from sporeproof.tables.contradictions import contradictions, held_down
from sporeproof.tables.rebuilt import rebuilt

if TYPE_CHECKING:
    from sporeproof.records.read import Dataset
    from sporeproof.release.content import Content
    from sporeproof.tables.build import Tables

SCHEMA = 1
# What is told of a finding; it has no place, since a package has no texts.
TOLD = ("code", "level", "message", "why", "mend", "taxon_id", "name")
PROVES_NOT = (
    "What this does not prove: that what the package says is true of any fungus, that anybody who knows fungi has read "
    "it, or that it is the newest version."
)
UNRUN = (
    "Its tables hold what no entry gives, so the rules could not be run nor the lists computed again ({}). "
    "Take the package anew from where it is published."
)
WHO_NOT = (
    "Nor who made it, or that nobody changed the licence, the figures at the end of the news, or a fact in all files "
    "alike where no rule forbids it: that takes a signature, and a list of those whose signatures you trust."
)


@dataclass(frozen=True, slots=True)
class VerifiedAll:
    """What came of verifying a package: what is wrong with it, what the rules find in it, what else to know.

    ``findings`` are those of the marked rules, warnings among them; only errors make the package unsound. ``complete``
    is false where it could not be opened, or not be verified to the end.
    """

    package: str = ""
    version: str = ""
    faults: list[str] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    signer: str = ""
    complete: bool = True

    @property
    def errors(self) -> list[Finding]:
        """The findings that no release may hold."""
        return [each for each in self.findings if each.level is Level.ERROR]

    @property
    def exit_code(self) -> int:
        """0 no fault was found, 1 something is wrong, 2 it could not be opened, or not be verified to the end."""
        return int(bool(self.faults or self.errors)) if self.complete else 2

    def lines(self) -> Iterator[str]:
        """Yield what a person should know, what is wrong first; the safety note is left to whoever prints it."""
        yield self._verdict()
        for title, told in (
            ("Faults of the package", self.faults),
            ("What the safety rules find in it", [_told(each) for each in self.errors]),
            ("To know", self.notes),
        ):
            if told:
                yield from ("", f"{title}:", *(f"  {each}" for each in told))
        yield from ("", PROVES_NOT, *([] if self.signer else [WHO_NOT]))

    def _verdict(self) -> str:
        named = f"{self.package} {self.version}".strip() or "The package"
        if not self.complete:
            return f"{named} could not be verified to the end. Do not use it."
        wrong = [counted(len(each), word) for each, word in ((self.faults, "fault"), (self.errors, "error")) if each]
        return f"{named}: {' and '.join(wrong)}. Do not use it." if wrong else f"{named}: no fault was found."

    def as_dict(self) -> dict[str, Any]:
        """Return the same for programs; the keys change only with the number under ``schema``."""
        findings = [{key: getattr(each, key) for key in TOLD} for each in self.findings]
        return {
            "schema": SCHEMA,
            "package": self.package,
            "version": self.version,
            "faults": self.faults,
            "findings": findings,
            "notes": self.notes,
            "counts": self.counts,
            "signer": self.signer,
            "safety_note": SAFETY_NOTE,
        }

    def told(self, format_: str) -> str:
        """Return it as ``text``, without the safety note, or as ``json``, with it."""
        return json_text(self.as_dict()) if format_ == "json" else "\n".join(self.lines()) + "\n"


def _told(finding: Finding) -> str:
    about = f"{finding.taxon_id}: " if finding.taxon_id else ""
    return f"{about}{finding.message} ({finding.code}) {finding.why}"


@collector_paused()
def verify(path: Path, root: Path | None, signers: Path | None = None, identity: str = "") -> VerifiedAll:
    """Return what is wrong with the package at a path, a folder or an archive.

    It is held against the schema of the dataset below ``root``, or of the packaged copy where there is none.
    ``signers`` is a file of signatures to trust, ``identity`` whose the signature must be.
    """
    from sporeproof.release.verify import verify as opened

    form = schema_of(root or PACKAGED_SCHEMA.parent)
    found = opened(path, form, signers=signers, identity=identity)
    if found.content is None:
        return VerifiedAll(faults=found.faults, notes=found.notes, counts=found.counts, complete=False)
    judged = again(found.content, form)
    return VerifiedAll(
        found.content.words.get("name", ""),
        found.content.version,
        [*found.faults, *judged.faults],
        judged.findings,
        [*found.notes, *judged.notes],
        {**found.counts, **judged.counts},
        found.signer or "",
        judged.complete,
    )


def again(content: Content, form: Form) -> VerifiedAll:
    """Return what the marked rules find in a version, and where its tables contradict what comes of its entries."""
    try:
        return _again(content, form)
    except Exception as error:  # rows of anybody may be such as no entry gives: that is a fault, not a traceback
        return VerifiedAll(faults=[UNRUN.format(f"{type(error).__name__}: {error}")], complete=False)


def _again(content: Content, form: Form) -> VerifiedAll:
    given = content.rows
    threshold = content.provenance.get("similarity_threshold")
    dataset = rebuilt(given, form, {"similarity_threshold": threshold})
    checked = judge(dataset, dataset.readings, form, (Recorded([]), []), rules=released_rules())
    made = computed(dataset, form)
    return VerifiedAll(
        faults=list(contradictions(given, made, form)),
        findings=checked.findings,
        notes=list(_notes(checked, dataset, held_down(given, made, form), form)),
        counts={f"{level}s": checked.count(level) for level in (Level.ERROR, Level.WARNING)},
        complete=not checked.crashed,
    )


def computed(dataset: Dataset, form: Form) -> Tables:
    """Return all tables of a rebuilt dataset, what the engine says of it among them."""
    from sporeproof.confusion.proved import proofs_of
    from sporeproof.confusion.suspected import Suspicion

    checklist = checklist_of(dataset)
    suspicion = Suspicion(checklist, form, dataset.threshold)
    return build_filled(dataset, Recorded([]), proofs_of(dataset.entries, checklist, form), suspicion, form)


def _notes(checked: Checked, dataset: Dataset, lower: list[str], form: Form) -> Iterator[str]:
    """Yield what is no fault: what the rules doubt, and what no table lets anybody judge."""
    if warnings := checked.count(Level.WARNING):
        yield f"The safety rules have {counted(warnings, 'warning')}, which stop no release."
    alike = (
        "all were taken for alike" if dataset.threshold is None else f"from {dataset.threshold} on, as it says itself"
    )
    yield f"Whether two taxa count as alike: {alike}."
    if lower:
        yield f"Graded lower than what is recorded comes to, for reasons that no table holds: {', '.join(lower)}."
    if lone := list(_without_dangerous(dataset, form)):
        yield (
            "Edible, and nobody wrote down a dangerous taxon that it is taken for (those computed stand in "
            f"`confusions`); no table says why: {', '.join(lone)}."
        )


def _without_dangerous(dataset: Dataset, form: Form) -> Iterator[str]:
    checklist = checklist_of(dataset)
    for entry in dataset.entries:
        listed = (link.one for _, _, link in checklist.linked(entry))
        if form.is_edible(entry.verdict) and not any(each and form.is_dangerous(each.verdict) for each in listed):
            yield entry.name
