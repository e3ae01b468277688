"""A checklist's answer does not say which record it is.

## Why
Without the key nobody can look the answer up again, and it is worth no more than general knowledge.

## Mend
Record the checklist's own key under `usage_key`; where there is none, write `compiled`.

## Wrong
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Amanita phalloides,,current,Amanita phalloides,,registry-taxonomy,,,,,EXACT,,2026-11-25
```

## Right
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Amanita phalloides,,current,Amanita phalloides,,registry-taxonomy,,,67723,67723,EXACT,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.answers import place_of
from sporeproof.names.outcome import HOMONYM, UNASKED, UNKNOWN, is_unconfirmed


@rule("dataset.answer-without-key", "warning", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each answer of a checklist that found something and names no record."""
    for answer in whole.answers.all():
        if answer.usage_key or answer.outcome in KEYLESS or is_unconfirmed(answer, form):
            continue
        yield Problem(
            at=place_of(answer, "usage_key"),
            message=f"The answer on {answer.name} was obtained as {answer.obtained}, "
            "but names no record of that checklist.",
            mend="Record the checklist's key under `usage_key`, or write that it is general knowledge.",
        )


# Nothing was found, or several that weigh the same, so there is no one record to name.
KEYLESS = frozenset({UNKNOWN, UNASKED, HOMONYM})
