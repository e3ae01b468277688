"""A state stands twice in one list.

## Why
A state that is listed twice was most likely meant to be another one.

## Mend
Delete it, or write the state that was meant.

## Wrong
```yaml
name: Amanita phalloides
characters:
  ring: [present, present]
```

## Right
```yaml
name: Amanita phalloides
characters:
  ring: [present, absent]
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.recorded import accepted, recorded
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("entry.state-twice", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each state that was listed before."""
    for given in (*recorded(entry), *accepted(entry)):
        if given.is_range:
            continue
        for index, state in enumerate(given.states):
            if state in given.states[:index]:
                yield Problem(
                    at=given.at(index),
                    message=f"`{state}` is listed twice for {given.id} of {entry.name}.",
                    mend="Delete it, or write the state that was meant.",
                )
