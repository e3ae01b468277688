"""A season lasts the whole year.

## Why
Some fungi do fruit in every month. More often the two months were swapped, or nobody had looked.

## Mend
Compare with dated records. If it does fruit all year, excuse this finding and say where that is known from.

## Wrong
```yaml
name: Amanita phalloides
season: {from: 10, to: 9}
```

## Right
```yaml
name: Amanita phalloides
season: {from: 9, to: 10}
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


@rule("season.longer-than-eleven-months", "notice", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where no month is left out."""
    season = entry.value.get("season") or {}
    if not {"from", "to"} <= season.keys() or not {season["from"], season["to"]} <= MONTHS:
        return
    if len(months(season)) < len(MONTHS):
        return
    yield Problem(
        at=entry.at_key("season"),
        message=f"{entry.name} fruits from month {season['from']} to {season['to']}: all year.",
        mend="Check whether the two months are swapped; else excuse this with what it is known from.",
    )
