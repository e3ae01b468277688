"""A single taxon lists members.

## Why
Only a genus or a species group stands for others. Whoever reads members of a species takes its verdict for
theirs.

## Mend
Correct the rank, or delete `members`.

## Wrong
```yaml
name: Armillaria mellea
rank: species
members: [Armillaria ostoyae]
```

## Right
```yaml
name: Armillaria mellea
rank: species
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


@rule("entry.members-not-collective", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where an entry that stands for itself lists others."""
    known = entry.rank in form.vocabularies["ranks"]
    if not known or form.flagged("ranks", entry.rank, "collective") or not entry.members:
        return
    yield Problem(
        at=entry.at_key("members"),
        message=f"{entry.name} is a {entry.rank}, but lists members.",
        mend="Correct the rank, or delete `members`.",
    )
