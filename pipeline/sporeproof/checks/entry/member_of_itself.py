"""A genus or species group lists itself as a member.

## Why
Its caution is taken from its members; through itself it would only confirm what it says already.

## Mend
Name the entry that was meant, by its current name, or delete the member.

## Wrong
```yaml
name: Armillaria
rank: genus
members: [Armillaria]
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


@rule("entry.member-of-itself", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each member that is the entry itself."""
    for index, word in enumerate(entry.members):
        if checklist.find(word).one is entry:
            yield Problem(
                at=entry.at("members", index),
                message=f"{entry.name} lists `{word}`, which is itself, as a member.",
                mend="Name the entry that was meant, or delete this member.",
            )
