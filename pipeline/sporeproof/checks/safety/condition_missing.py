"""An entry is edible with conditions, and names none.

## Why
Who reads "with conditions" and finds none makes up their own, or none.

## Mend
Name what must be done under `needs` (more than thorough cooking), or which specimens count under
`accept_only`.

## Wrong
```yaml
id: F9001
name: Lycoperdon perlatum
edibility: {verdict: edible-with-conditions, needs: [cook-thoroughly]}
```

## Right
```yaml
id: F9001
name: Lycoperdon perlatum
edibility: {verdict: edible-with-conditions, needs: [cook-thoroughly, peel-skin]}
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


@rule("safety.condition-missing", "error", per="entry", released=True)
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where the conditions of an edible verdict are not named."""
    if form.is_conditional(entry.verdict) and not conditions(entry, form):
        yield Problem(
            at=entry.at("edibility", "verdict"),
            message=f"{entry.name} is called {entry.verdict}, but no condition is named.",
            mend="Add a need that goes beyond thorough cooking, or `accept_only`; without either it is plain edible.",
        )
