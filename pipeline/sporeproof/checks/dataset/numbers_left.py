"""An entry has no number yet.

## Why
A release refuses it: whoever takes the data must be able to hold on to an id that never changes.

## Mend
`sporeproof number` gives each such entry the next free id; do it where the entries are merged, once.

## Wrong
```yaml
id: new
name: Galerina marginata
```

## Right
```yaml
id: F9001
name: Galerina marginata
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


@rule("dataset.numbers-left", "notice", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each entry that waits for its number."""
    for entry in whole.entries:
        if entry.id == NOT_NUMBERED:
            yield Problem(
                at=entry.at("id"),
                message=f"{entry.name} has no number yet, and a release needs one.",
                mend="Run `sporeproof number` where the entries are merged.",
            )
