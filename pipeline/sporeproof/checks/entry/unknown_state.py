"""A state is not in the catalogue.

## Why
A word that the catalogue does not hold makes the whole character unknown in every comparison, so that it tells
nothing apart and nobody is warned by it.

## Mend
Use a state that `schema/characters.yaml` lists for this character. If none fits, propose it there, with what
it means.

## Wrong
```yaml
name: Amanita phalloides
characters:
  ring: presnt
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
from sporeproof.text.nearest import did_you_mean


@rule("entry.unknown-state", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each state that its character does not have."""
    for given in (*recorded(entry), *accepted(entry)):
        known = states_of(given.id, form)
        for index, state in enumerate(given.states):
            if known and isinstance(state, str) and state not in known:
                yield Problem(
                    at=given.at(index),
                    message=f"`{state}` is no state of {given.id} in the catalogue.",
                    mend=did_you_mean(state, known) or f"Use one of these: {', '.join(known)}.",
                )
