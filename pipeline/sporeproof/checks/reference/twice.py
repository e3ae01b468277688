"""An entry links to the same taxon twice.

## Why
Two blocks on one pair say two things, and whoever mends the one leaves the other as it was.

## Mend
Put both into one block.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions:
  - with: Galerina marginata
  - with: Galerina autumnalis
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
confusions:
  - with: Galerina marginata
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
from sporeproof.tables.resolve import Checklist, references, spelled


@rule("reference.twice", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each link that leads where an earlier one of its block leads."""
    seen: set[tuple[str, str]] = set()
    for path, word in references(entry):
        other = checklist.find(word).one
        place = (str(path[0]), other.file if other else spelled(word))
        if place in seen:
            also = f" as {word}" if other and other.name != word else ""
            yield Problem(
                at=entry.at(*path),
                message=f"{entry.name} lists {other.name if other else word} twice under `{path[0]}`, here{also}.",
                mend="Put both into one.",
            )
        seen.add(place)
