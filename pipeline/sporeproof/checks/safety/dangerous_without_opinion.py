"""A deadly or poisonous entry has no opinion that says so.

## Why
A verdict that stands alone can be changed by one word. An opinion beside it, with its source, contradicts
such a slip.

## Mend
Under `opinions`, add who says that it is dangerous; `from-memory` will do until somebody looks it up.

## Wrong
```yaml
id: F9001
name: Amanita phalloides
edibility:
  verdict: deadly
  opinions: [{verdict: inedible, source: from-memory}]
```

## Right
```yaml
id: F9001
name: Amanita phalloides
edibility:
  verdict: deadly
  opinions: [{verdict: deadly, source: common-practice}]
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


@rule("safety.dangerous-without-opinion", "error", per="entry", released=True)
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where nobody is named for a deadly or poisonous verdict."""
    if not form.is_toxic(entry.verdict):
        return
    if any(form.is_dangerous(each.get("verdict", "")) and "source" in each for each in entry.opinions):
        return
    yield Problem(
        at=entry.at("edibility", "verdict"),
        message=f"{entry.name} is called {entry.verdict}, but no opinion with a source says that it is dangerous.",
        mend=f"Under `opinions`, add `{{verdict: {entry.verdict}, source: ...}}` with who says so.",
    )
