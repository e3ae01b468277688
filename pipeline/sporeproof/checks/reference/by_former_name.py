"""A link uses a name that is not the current one.

## Why
It works, since old names are followed. But names move back, and a reader who does not know the old one looks
in vain.

## Mend
Write the current name.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina autumnalis}]
```
```yaml
id: F9002
name: Galerina marginata
former_names: [Galerina autumnalis]
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
former_names: [Galerina autumnalis]
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


@rule("reference.by-former-name", "notice", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each link by a former or an everyday name."""
    for path, word in references(entry):
        link = checklist.find(word)
        if link.one and link.by in SAID:
            yield Problem(
                at=entry.at(*path),
                message=f"{entry.name} links to {word}, {SAID[link.by]} of {link.one.name}.",
                mend=f"Write {link.one.name}.",
            )


SAID = {"former": "a former name", "vernacular": "an everyday name"}
