"""A link leads to no entry.

## Why
A confusion that leads nowhere warns nobody, and no claim in it can be checked.

## Mend
Write a name that some entry bears today or bore before. If there is no such entry yet, add it first.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginatta}]
```
```yaml
id: F9002
name: Galerina marginata
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata}]
```
```yaml
id: F9002
name: Galerina marginata
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
from sporeproof.tables.resolve import Checklist, references
from sporeproof.text.nearest import did_you_mean


@rule("reference.leads-nowhere", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each link that no entry answers to."""
    for path, word in references(entry):
        if not checklist.find(word).by:
            guess = did_you_mean(word, checklist.words())
            yield Problem(
                at=entry.at(*path),
                message=f"{entry.name} links to {word}, and no entry bears this name, now or formerly.",
                mend=guess or "Write a name that an entry bears, or add an entry for it first.",
            )
