"""What an edible verdict hangs on: asked by the rules that compare it with the word of the verdict."""

from __future__ import annotations

from sporeproof.form.load import Form
from sporeproof.records.entry import Entry, Step


def conditions(entry: Entry, form: Form) -> list[tuple[tuple[Step, ...], str]]:
    """Return path and word of each condition: each need that is not ordinary, each character of `accept_only`.

    A word that the vocabulary does not hold is no condition, since nobody can keep to it.
    """
    needs = [
        (("edibility", "needs", index), need)
        for index, need in enumerate(entry.needs)
        if need in form.vocabularies["needs"] and not form.is_ordinary(need)
    ]
    return needs + [(("edibility", "accept_only", id), id) for id, given in entry.accept_only.items() if given]
