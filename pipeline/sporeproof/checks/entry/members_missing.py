"""A genus or species group does not say what it stands for.

## Why
It is as cautious as its most cautious member. Without members it is as cautious as whoever typed its verdict.

## Mend
List under `members` the entries that it stands for.

## Wrong
```yaml
name: Armillaria
rank: genus
```

## Right
```yaml
name: Armillaria
rank: genus
members: [Armillaria mellea]
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
from sporeproof.tables.resolve import Checklist


@rule("entry.members-missing", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where a collective entry lists nobody."""
    if not form.flagged("ranks", entry.rank, "collective") or entry.members:
        return
    yield Problem(
        at=entry.at("members") if "members" in entry.value else entry.at("rank"),
        message=f"{entry.name} is a {entry.rank.replace('-', ' ')}, but lists no members.",
        mend="List the entries that it stands for under `members`.",
    )
