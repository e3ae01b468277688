"""A range runs from high to low.

## Why
Nothing lies between 70 and 30 read in that order, so the comparison of sizes would come out wrong either way.

## Mend
Write the lower number first, and check both.

## Wrong
```yaml
name: Amanita phalloides
characters:
  cap-width: [120, 50]
```

## Right
```yaml
name: Amanita phalloides
characters:
  cap-width: [50, 120]
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.recorded import accepted, recorded
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("entry.range-reversed", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each range whose low is above its high."""
    for given in (*recorded(entry), *accepted(entry)):
        low, high = given.range or (0, 0)
        if low > high:
            yield Problem(
                at=given.at(),
                message=f"The range of {given.id} of {entry.name} runs from {low:g} down to {high:g}.",
                mend=f"Write `[{high:g}, {low:g}]` if both numbers are right.",
            )
