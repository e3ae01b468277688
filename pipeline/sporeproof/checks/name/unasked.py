"""No answer is on record for a name.

## Why
The name may have changed long ago, and nobody here would know.

## Mend
Ask a checklist and record its answer in `names.csv`.

## Wrong
```yaml
id: F9001
name: Galerina marginata
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
from sporeproof.names.outcome import UNASKED, Use


@rule("name.unasked", "notice", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem where no checklist was asked about a name."""
    if use.outcome.outcome == UNASKED:
        yield Problem(
            at=use.at,
            message=f"No answer is on record for {use.name.name}.",
            mend="Ask a checklist, and record its answer in names.csv.",
        )
