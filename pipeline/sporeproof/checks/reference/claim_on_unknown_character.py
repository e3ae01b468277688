"""A claim names a character that the catalogue does not hold.

## Why
The claim cannot be checked, so it would pass for true.

## Mend
Write the id of a character of the catalogue, or put the words into `note`.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata, told_apart_by: [sporeprint]}]
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata, told_apart_by: [spore-print]}]
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
from sporeproof.text.nearest import did_you_mean


@rule("reference.claim-on-unknown-character", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each claimed character that is not in the catalogue."""
    for position, each in enumerate(entry.value.get("confusions") or []):
        for index, id in enumerate(each.get("told_apart_by") or []):
            if id not in form.characters:
                yield Problem(
                    at=entry.at("confusions", position, "told_apart_by", index),
                    message=f"{entry.name} claims `{id}`, which is no character of the catalogue.",
                    mend=did_you_mean(id, form.characters) or "Write a character of the catalogue, or use `note`.",
                )
