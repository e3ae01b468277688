"""A month is not between 1 and 12.

## Why
Months are written as numbers so that all languages read them alike; thirteen is no month in any.

## Mend
Write the month as a number from 1 to 12.

## Wrong
```yaml
name: Amanita phalloides
season: {from: 8, to: 13}
```

## Right
```yaml
name: Amanita phalloides
season: {from: 8, to: 12}
```

## Source
ISO 8601 for the numbers of the months
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry, Step
from sporeproof.tables.resolve import Checklist

MONTHS = range(1, 13)


@rule("season.month-outside", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each number that is no month."""
    season = entry.value.get("season") or {}
    given: list[tuple[tuple[Step, ...], int]] = [
        (("season", key), season[key]) for key in ("from", "to") if key in season
    ]
    given += [(("season", "peak", index), month) for index, month in enumerate(season.get("peak") or [])]
    for path, month in given:
        if month not in MONTHS:
            yield Problem(
                at=entry.at(*path),
                message=f"The season of {entry.name} names the month {month}.",
                mend="Write the month as a number from 1 to 12.",
            )
