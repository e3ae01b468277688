"""A month of the peak is not in the season.

## Why
A fungus cannot be most common when it does not fruit: one of the months is a slip.

## Mend
Correct the month, or widen the season. A season may wrap over the year's end.

## Wrong
```yaml
name: Amanita phalloides
season: {from: 8, to: 11, peak: [9, 12]}
```

## Right
```yaml
name: Amanita phalloides
season: {from: 8, to: 11, peak: [9, 10]}
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
from sporeproof.tables.build import months
from sporeproof.tables.resolve import Checklist

MONTHS = frozenset(range(1, 13))


@rule("season.peak-outside-season", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each month of the peak that is not in the season."""
    season = entry.value.get("season") or {}
    if not {"from", "to"} <= season.keys() or not {season["from"], season["to"]} <= MONTHS:
        return
    there = months(season)
    for index, month in enumerate(season.get("peak") or []):
        if month in MONTHS and month not in there:
            yield Problem(
                at=entry.at("season", "peak", index),
                message=f"Month {month} is a peak of {entry.name}, but not in its season.",
                mend="Correct the month, or widen the season.",
            )
