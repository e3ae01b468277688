"""A need lacks the caution that goes with it.

## Why
The need says what to do; the caution says what happens to those who do not. Kitchens skip what looks like a
whim.

## Mend
Add the caution that the need implies.

## Wrong
```yaml
id: F9001
name: Armillaria mellea
edibility:
  verdict: edible-with-conditions
  needs: [cook-at-length]
  cautions: [upsets-some]
```

## Right
```yaml
id: F9001
name: Armillaria mellea
edibility:
  verdict: edible-with-conditions
  needs: [cook-at-length]
  cautions: [upsets-some, poisonous-raw]
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


@rule("safety.need-without-caution", "error", per="entry", released=True)
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each need whose caution is missing."""
    for index, need in enumerate(entry.needs):
        caution = form.caution_of(need)
        if caution and caution not in entry.cautions:
            yield Problem(
                at=entry.at("edibility", "needs", index),
                message=f"{entry.name} needs `{need}`, but the caution `{caution}` is missing.",
                mend=f"Add `{caution}` to `cautions`.",
            )
