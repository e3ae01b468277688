"""The answer on a name is too old.

## Why
Names move on, and back. What a checklist said long ago may lead people to another taxon today.

## Mend
Ask the checklist again with `sporeproof names refresh`. Nothing is judged unless `--max-age` is given.

## Wrong
```yaml
id: F9001
name: Galerina marginata
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina marginata,,current,Galerina marginata,,registry-taxonomy,,,109633,109633,EXACT,,2026-08-01
```

## Right
```yaml
id: F9001
name: Galerina marginata
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina marginata,,current,Galerina marginata,,registry-taxonomy,,,109633,109633,EXACT,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.age import Limit, read_day
from sporeproof.names.outcome import Use, newest


@rule("name.answer-too-old", "warning", "error", per="aged")
def find(use: Use, limit: Limit, form: Form) -> Iterator[Problem]:
    """Yield one problem where the newest answer of the firmest kind is older than the limit; unasked is another's."""
    answer = newest(use.outcome, form)
    if answer is None or not limit.is_too_old(day := read_day(answer.checked_on)):
        return
    if day is None:
        said = f"The newest answer on {use.name.name} does not say when it was asked for"
    elif day > limit.today:
        said = f"The newest answer on {use.name.name} is of {day}, which is yet to come"
    else:
        said = f"The newest answer on {use.name.name} is of {day}, {(limit.today - day).days} days ago"
    yield Problem(
        at=use.at,
        message=f"{said}; today is {limit.today}, and answers from before {limit.oldest} count as too old.",
        mend="Ask again with `sporeproof names refresh`.",
    )
