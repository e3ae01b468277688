"""A review does not say who read the entry, when, and which text.

## Why
A review that nobody signed, or that was of another text, gives a trust that nobody earned.

## Mend
Add `by` (a role or initials), `on` (the day) and `of` (the hash of what was read), or set the state back.

## Wrong
```yaml
name: Amanita phalloides
review: {state: reviewed}
```

## Right
```yaml
name: Amanita phalloides
review: {state: reviewed, by: AB, on: 2026-11-25, of: 3f2a9c}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("entry.reviewed-without-reader", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where a review lacks its reader, day or text."""
    review = entry.value.get("review") or {}
    missing = [f"`{key}`" for key in form.entry.keys["review"].keys if key not in review]
    if not form.flagged("review-states", review.get("state", ""), "vouched") or not missing:
        return
    yield Problem(
        at=entry.at("review", "state"),
        message=f"{entry.name} is called {review['state']}, but the review lacks {' and '.join(missing)}.",
        mend="Add what is missing, or set the state back.",
    )
