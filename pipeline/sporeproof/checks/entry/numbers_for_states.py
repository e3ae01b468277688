"""A range stands where a character wants a state.

## Why
A number is no state of the catalogue, so the character counts as unknown in every comparison.

## Mend
Use the states that `schema/characters.yaml` lists for this character.

## Wrong
```yaml
name: Amanita phalloides
characters:
  ring: [1, 2]
```

## Right
```yaml
name: Amanita phalloides
characters:
  ring: present
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.recorded import accepted, recorded, states_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("entry.numbers-for-states", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each range in the place of a state."""
    for given in (*recorded(entry), *accepted(entry)):
        known = states_of(given.id, form)
        if known and given.is_range:
            yield Problem(
                at=given.at(),
                message=f"Numbers are given for {given.id} of {entry.name}, which is described in words.",
                mend=f"Use one of these: {', '.join(known)}.",
            )
