"""An edible entry carries no caution.

## Why
No wild fungus is eaten without something to be told, and what is not told in the same breath is not heard.

## Mend
Under `cautions`, list what everybody who eats it must be told; `raw-upsets` is the least that holds for most.

## Wrong
```yaml
id: F9001
name: Hydnum repandum
edibility: {verdict: edible, cautions: []}
```

## Right
```yaml
id: F9001
name: Hydnum repandum
edibility: {verdict: edible, cautions: [raw-upsets]}
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


@rule("safety.edible-without-caution", "error", per="entry", released=True)
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where an edible entry carries no caution."""
    if form.is_edible(entry.verdict) and not entry.cautions:
        yield Problem(
            at=entry.at("edibility", "verdict"),
            message=f"{entry.name} is called {entry.verdict}, but nothing stands under `cautions`.",
            mend="Under `cautions`, list what everybody who eats it must be told.",
        )
