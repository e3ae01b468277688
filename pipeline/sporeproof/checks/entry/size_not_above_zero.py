"""A size is nought or less.

## Why
No fruitbody measures nothing. A nought that stands for *not known* makes the taxon seem to come in any small
size.

## Mend
Give the low of the usual range. What is not known is left out.

## Wrong
```yaml
name: Amanita phalloides
characters:
  cap-width: [0, 120]
```

## Right
```yaml
name: Amanita phalloides
characters:
  cap-width: [50, 120]
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.recorded import accepted, in_catalogue, recorded
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("entry.size-not-above-zero", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each range that reaches down to nought."""
    for given, _ in in_catalogue((*recorded(entry), *accepted(entry)), form):
        if given.range is None or (low := min(given.range)) > 0:
            continue
        yield Problem(
            at=given.at(),
            message=f"The range of {given.id} of {entry.name} starts at {low:g}.",
            mend="Give the smallest usual size, or leave the character out.",
        )
