"""An entry bears an id that has ended.

## Why
Somebody holds the old advice under this id, and would now read it as advice on another taxon.

## Mend
Write `id: new`; a fresh one is given when the entry is merged.

## Wrong
```yaml
id: F9021
name: Galerina marginata
```
```yaml dataset/retired.yaml
F9021: {was: Galerina autumnalis, since: 3.1.0, because: Withdrawn.}
```

## Right
```yaml
id: new
name: Galerina marginata
```
```yaml dataset/retired.yaml
F9021: {was: Galerina autumnalis, since: 3.1.0, because: Withdrawn.}
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
from sporeproof.records.entry import NOT_NUMBERED


@rule("dataset.retired-id-reused", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each entry with a retired id."""
    for entry in whole.entries:
        if retired := whole.checklist.retired.get(entry.id):
            yield Problem(
                at=entry.at("id"),
                message=f"{entry.name} bears the id {entry.id}, which has ended; it was {retired.get('was')}.",
                mend=f"Write `{NOT_NUMBERED}`; a fresh id is given later.",
            )
