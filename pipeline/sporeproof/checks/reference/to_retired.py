"""A link leads to an id that has ended.

## Why
What stood there was merged, split or withdrawn; only a person can say which of today's taxa is meant.

## Mend
Write the name of the entry that stands in its place.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: F9021}]
```
```yaml
id: F9002
name: Galerina marginata
```
```yaml dataset/retired.yaml
F9021: {was: Galerina autumnalis, replaced_by: [F9002], since: 3.1.0, because: Held to be the same.}
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: F9002}]
```
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

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist, references


@rule("reference.to-retired", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each link to a retired id."""
    for path, word in references(entry):
        link = checklist.find(word)
        if link.by == "retired":
            choices = " or ".join(each.name for each in link.entries)
            yield Problem(
                at=entry.at(*path),
                message=f"{entry.name} links to {word}, which has ended; it was {checklist.retired[word].get('was')}.",
                mend=f"Write {choices}." if choices else "Nothing stands in its place: take the link out.",
            )
