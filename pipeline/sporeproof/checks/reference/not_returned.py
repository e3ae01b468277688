"""A confusion is not listed by the other entry.

## Why
Most mistakes go both ways. Who looks the other taxon up finds no word of this one.

## Mend
Add the confusion to the other entry, or leave it if the mistake truly goes one way.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata}]
```
```yaml
id: F9002
name: Galerina marginata
confusions: []
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata}]
```
```yaml
id: F9002
name: Galerina marginata
confusions: [{with: Kuehneromyces mutabilis}]
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


@rule("reference.not-returned", "notice", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each confusion that the other entry does not list back."""
    for index, _, link in checklist.linked(entry):
        other = link.one
        if other is None or other is entry:
            continue
        if not any(entry in back.entries for _, _, back in checklist.linked(other)):
            yield Problem(
                at=entry.at("confusions", index, "with"),
                message=f"{entry.name} lists {other.name} as a confusion, but {other.name} does not list it back.",
                mend=f"Add {entry.name} to the confusions of {other.name}.",
            )
