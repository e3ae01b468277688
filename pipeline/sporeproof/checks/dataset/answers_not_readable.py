"""The recorded answers about names cannot be read, or not all of them.

## Why
A name whose answer is not read counts as never asked, and a rename goes unnoticed.

## Mend
Keep the first row as it is and give each row as many cells as it has, in UTF-8.

## Wrong
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Amanita phalloides,current
```

## Right
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Amanita phalloides,,current,Amanita phalloides,,registry-taxonomy,,,67723,67723,EXACT,,2026-11-25
```

## Source
RFC 4180 for the form of CSV, from memory; the columns are our own
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form


@rule("dataset.answers-not-readable", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble with the file of recorded answers."""
    for trouble in whole.answer_troubles:
        says, mend = SAID.get(trouble.kind, OTHER)
        words = ", ".join(trouble.words)
        yield Problem(at=trouble.at, message=says.format(words=words), mend=mend.format(words=words))


SAID = {
    "answers-header": ("The first row does not name the columns of recorded answers.", "Write {words}."),
    "answers-row": (
        "This row cannot be read: {words} where the first row asks for another number of cells.",
        "Give it as many cells as the first row has; a cell with a comma stands in double quotes.",
    ),
    "not-utf8": ("The byte {words} is not part of any UTF-8 text.", "Save the file as UTF-8."),
}
OTHER = (
    "The recorded answers are not read: the file {words}.",
    "Put a plain file of recorded answers in its place.",
)
