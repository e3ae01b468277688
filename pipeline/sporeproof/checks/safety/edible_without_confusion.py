"""An edible entry lists no confusion with a dangerous taxon.

## Why
People act on an edible verdict, so the entry must name what harms those who get it wrong.

## Mend
Under `confusions`, name every deadly, poisonous or disputed taxon it is taken for, and what tells the two apart.
If there truly is none, say so under `no_dangerous_confusion`, with the reason and its source.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
confusions: []
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
confusions: [{with: Galerina marginata}]
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
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


@rule("safety.edible-without-confusion", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where an edible entry names no dangerous taxon."""
    if not form.is_edible(entry.verdict) or "no_dangerous_confusion" in entry.value:
        return
    named = (other for _, _, link in checklist.linked(entry) for other in link.entries)
    if any(form.is_dangerous(other.verdict) for other in named):
        return
    yield Problem(
        at=entry.at("edibility", "verdict"),
        message=f"{entry.name} is called {entry.verdict}, but no dangerous taxon is listed under `confusions`.",
        mend="Add each dangerous taxon it is taken for, with what tells them apart, under `confusions`.",
    )
