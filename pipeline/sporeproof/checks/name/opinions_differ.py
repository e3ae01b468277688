"""Checklists disagree about a name.

## Why
The newest of the firmest answers speaks, but another one says otherwise, and readers who follow it will look
elsewhere.

## Mend
Nothing need be done; to weigh in, ask the checklist again, or write in a comment whom this dataset follows.

## Wrong
```yaml
id: F9001
name: Galerina autumnalis
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina autumnalis,,current,Galerina autumnalis,,registry-taxonomy,,,157599,157599,EXACT,,2026-11-25
Galerina autumnalis,,renamed,Galerina marginata,,compiled,,,,,,,2026-11-25
```

## Right
```yaml
id: F9001
name: Galerina autumnalis
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina autumnalis,,current,Galerina autumnalis,,registry-taxonomy,,,157599,157599,EXACT,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use, meaning


@rule("name.opinions-differ", "notice", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem where a second opinion gives another outcome or another accepted name."""
    first = use.outcome.answer
    if first is None:
        return
    if others := use.outcome.others():
        yield Problem(
            at=use.at,
            message=f"{use.name.name} is {meaning(first)} by the answer that speaks, "
            f"but {' and '.join(others)} by another.",
            mend="Ask again if an answer is old; otherwise leave it, or say in a comment whom this dataset follows.",
        )
