"""An entry is plain edible, and yet names a condition.

## Why
People who see the verdict alone miss the condition on which it hangs.

## Mend
Let the verdict say that it has conditions, or take away what is none.

## Wrong
```yaml
id: F9001
name: Lycoperdon perlatum
edibility: {verdict: edible, needs: [cook-thoroughly, young-only]}
```

## Right
```yaml
id: F9001
name: Lycoperdon perlatum
edibility: {verdict: edible-with-conditions, needs: [cook-thoroughly, young-only]}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.conditions import conditions
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("safety.condition-on-plain-edible", "error", per="entry", released=True)
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each condition of an entry whose verdict says that it has none."""
    if not form.is_edible(entry.verdict) or form.is_conditional(entry.verdict):
        return
    for path, word in conditions(entry, form):
        yield Problem(
            at=entry.at(*path),
            message=f"{entry.name} is called {entry.verdict}, but `{word}` is a condition.",
            mend="Let the verdict say that it is edible with conditions.",
        )
