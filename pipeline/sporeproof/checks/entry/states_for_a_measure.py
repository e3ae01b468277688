"""A word stands where a measured character wants a range.

## Why
Words such as `broad` mean something else to everybody, and cannot be compared.

## Mend
Give the low and the high of the usual range, as `[30, 70]`, in the unit of the catalogue.

## Wrong
```yaml
name: Amanita phalloides
characters:
  cap-width: broad
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


@rule("entry.states-for-a-measure", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each word in the place of a measure."""
    for given, character in in_catalogue((*recorded(entry), *accepted(entry)), form):
        if character.is_measured and not given.is_range:
            yield Problem(
                at=given.at(),
                message=f"{given.id} of {entry.name} is measured, but a word is given.",
                mend="Give the low and the high of the usual range, such as `[30, 70]`.",
            )
