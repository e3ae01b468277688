"""What could not be compared is said in words, whatever an entry holds."""

from __future__ import annotations

from sporeproof.confusion.proved import proofs_of
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


def test_a_suspect_whose_verdict_is_no_word_is_named_and_proves_nothing(form, dataset):
    deadly = next(entry for entry in dataset.entries if entry.name == "Galerina marginata")
    misspelt = Entry(deadly.file, "", {**deadly.value, "edibility": {**deadly.edibility, "verdict": "deadlly"}})
    entries = [misspelt if entry is deadly else entry for entry in dataset.entries]
    (edible,) = (entry for entry in entries if entry.name == "Kuehneromyces mutabilis")
    (found,) = proofs_of([edible], Checklist(entries), form)
    assert found.grade == "unproven"
    assert "Galerina marginata (its verdict is not known)" in found.reason
