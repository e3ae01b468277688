"""A checklist holds a name that is spelt a little differently.

## Why
A letter can lie between a slip and another taxon. The likeness is a suggestion and nothing more.

## Mend
Compare with the place where the name was published, and change the spelling only if it is a slip.

## Wrong
```yaml
id: F9001
name: Agaricus sylvaticus
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Agaricus sylvaticus,,respelled,Agaricus silvaticus,,live,,,,,VARIANT,,2026-11-25
```

## Right
```yaml
id: F9001
name: Agaricus silvaticus
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Agaricus sylvaticus,,respelled,Agaricus silvaticus,,live,,,,,VARIANT,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import RESPELLED, Use


@rule("name.respelled", "warning", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem where only a name like this one was found, unless the entry bears that one as well."""
    answer = use.outcome.answer
    if answer is None or use.outcome.outcome != RESPELLED or use.leads_home:
        return
    if form.flagged("name-roles", use.name.role, "misspelt"):
        return
    yield Problem(
        at=use.at,
        message=f"{use.name.name} is not held as it is spelt; {answer.accepted_name or 'a name like it'} is.",
        mend="Look both up, and change the spelling only if this one is a slip: `sporeproof names apply --accept`.",
    )
