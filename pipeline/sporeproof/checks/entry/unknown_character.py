"""A character is not in the catalogue.

## Why
What is recorded under a name of its own tells no two species apart, and nobody sees that it is missing.

## Mend
Use the id of the character in `schema/characters.yaml`. If there is none, propose it there.

## Wrong
```yaml
name: Amanita phalloides
characters:
  rings: present
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

from sporeproof.checks.registry import rule
from sporeproof.confusion.appearance import STAGE
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist
from sporeproof.text.nearest import did_you_mean


@rule("entry.unknown-character", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each key that is no character."""
    paths: list[tuple[str, ...]] = [("characters", id) for id in entry.characters]
    paths += [("edibility", "accept_only", id) for id in entry.accept_only if id != STAGE]
    for *above, id in paths:
        if id not in form.characters:
            yield Problem(
                at=entry.at_key(*above, id),
                message=f"{entry.name} is described by `{id}`, which is no character of the catalogue.",
                mend=did_you_mean(id, form.characters) or "Use a character of schema/characters.yaml.",
            )
