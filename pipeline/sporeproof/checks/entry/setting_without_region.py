"""Season or hosts are given without a region.

## Why
A season in Scotland is not one in Sicily. Without the region, people look and judge by months that are not
theirs.

## Mend
Add `region` with the code of the country or part of it where this was observed, such as `GB` or `GB-SCT`.

## Wrong
```yaml
name: Amanita phalloides
season: {from: 8, to: 11}
```

## Right
```yaml
name: Amanita phalloides
season: {from: 8, to: 11}
region: GB
```

## Source
ISO 3166 for the codes; that a setting has a place: common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist

SETTING = ("season", "hosts")


@rule("entry.setting-without-region", "warning", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where nobody knows where the setting was observed."""
    given = [key for key in SETTING if entry.value.get(key)]
    if not given or "region" in entry.value:
        return
    yield Problem(
        at=entry.at_key(given[0]),
        message=f"{entry.name} gives {' and '.join(given)}, but no region where that was observed.",
        mend="Add `region:` with a code such as GB or GB-SCT.",
    )
