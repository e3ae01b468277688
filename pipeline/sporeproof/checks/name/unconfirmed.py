"""Only general knowledge speaks of a name.

## Why
No checklist was asked, or none held it. The release says so beside the name.

## Mend
Ask a checklist and record its answer.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
former_names: [Galerina mutabilis]
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina mutabilis,,renamed,Kuehneromyces mutabilis,,compiled,,,,,,,2026-11-25
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
former_names: [Galerina mutabilis]
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina mutabilis,,renamed,Kuehneromyces mutabilis,,live,,,,,,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use, is_unconfirmed


@rule("name.unconfirmed", "notice", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem where no checklist's answer stands behind the outcome."""
    answer = use.outcome.answer
    if answer is not None and is_unconfirmed(answer, form):
        yield Problem(
            at=use.at,
            message=f"What is recorded of {use.name.name} comes from general knowledge; no checklist has confirmed it.",
            mend="Ask a checklist, and record its answer.",
        )
