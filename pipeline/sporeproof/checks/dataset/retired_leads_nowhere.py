"""An id that has ended leads to one that does not exist.

## Why
Whoever holds the old id must learn what stands in its place, above all if that is more dangerous.

## Mend
Name the ids of entries that exist today. If nothing stands in its place, leave both lists out.

## Wrong
```yaml dataset/retired.yaml
F9021: {was: Galerina autumnalis, replaced_by: [F9002], since: 3.1.0, because: Held to be the same.}
```

## Right
```yaml
id: F9002
name: Galerina marginata
```
```yaml dataset/retired.yaml
F9021: {was: Galerina autumnalis, replaced_by: [F9002], since: 3.1.0, because: Held to be the same.}
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


@rule("dataset.retired-leads-nowhere", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each successor that is neither an entry nor retired itself."""
    living = {entry.id for entry in whole.entries} - {"", NOT_NUMBERED}
    for id, retired in whole.checklist.retired.items():
        for key in ("replaced_by", "consider"):
            for index, word in enumerate(retired.get(key) or []):
                if word not in living and word not in whole.checklist.retired:
                    yield Problem(
                        at=whole.companions["retired"].at(id, key, index),
                        message=f"{id}, which was {retired.get('was')}, leads to {word}; no entry has this id.",
                        mend="Name the id of an entry that exists, or leave the list "
                        "out if nothing stands in its place.",
                    )
