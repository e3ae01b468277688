"""The proofs of a dataset: each edible entry against its own suspects, and whom it could not be compared with."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from sporeproof.confusion.proof import Proof, proof
from sporeproof.confusion.statistics import Figures
from sporeproof.confusion.suspects import Missing, missing, suspects_of
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


def proofs_of(entries: Iterable[Entry], checklist: Checklist, form: Form) -> list[Proof]:
    """Return the proof of each edible one of some entries, in their order."""
    return [proof_of(entry, checklist, form) for entry in entries if form.is_edible(entry.verdict)]


def proof_of(entry: Entry, checklist: Checklist, form: Form) -> Proof:
    """Return the proof of an edible entry."""
    suspects = suspects_of(entry, checklist.entries, form)
    return proof(entry, suspects, form, missing=list(_said(missing(entry, checklist, form), form)))


def grades(proofs: Sequence[Proof], form: Form) -> list[Figures]:
    """Return how many taxa have each grade, and the grade of each with what holds it there.

    ``not excluded`` counts the suspects that fall short at each level, the easiest first.
    """
    counts = Counter(each.grade for each in proofs)
    rows = [
        (each.entry.name, each.grade, "/".join(str(len(one.does_not_exclude)) for one in each.lists), each.reason)
        for each in proofs
    ]
    return [
        Figures("Edible taxa by grade", ("", "taxa"), [(id, counts[id]) for id in form.vocabularies["grades"]]),
        Figures("Grade of each edible taxon", ("taxon", "grade", "not excluded", "reason"), list(rows)),
    ]


def _said(lacking: Iterable[Missing], form: Form) -> Iterator[str]:
    """Say in words what could not be compared, and why."""
    for each in lacking:
        why = "no entry"
        if each.harmless and each.entry:
            term = form.vocabularies["verdicts"].get(each.entry.verdict)
            why = f"recorded as {term.title.lower()}" if term else "its verdict is not known"
        elif each.unrecorded:
            why = ", ".join(f"{form.characters[id].title.lower()}, {stage}" for id, stage in each.unrecorded)
            why = f"not recorded: {why}"
        yield f"{each.name} ({why})"
