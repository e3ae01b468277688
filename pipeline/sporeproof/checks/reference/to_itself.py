"""An entry links to itself.

## Why
Nothing is taken for itself: another name was meant, and the confusion that was meant is missing.

## Mend
Write the name of the other taxon.

## Wrong
```yaml
id: F9001
name: Galerina marginata
former_names: [Galerina autumnalis]
confusions: [{with: Galerina autumnalis}]
```

## Right
```yaml
id: F9001
name: Galerina marginata
former_names: [Galerina autumnalis]
confusions: [{with: Kuehneromyces mutabilis}]
```
```yaml
id: F9002
name: Kuehneromyces mutabilis
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


@rule("reference.to-itself", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each link that leads back to where it stands."""
    for path, word in references(entry):
        if checklist.find(word).one is entry:
            also = "" if word == entry.name else f" as {word}"
            yield Problem(
                at=entry.at(*path),
                message=f"{entry.name} links to itself{also}.",
                mend="Write the name of the other taxon; if a former name here is wrong, take it out.",
            )
