"""An excuse is no longer needed.

## Why
An excuse that outlives its reason would hide the same finding when it comes back for another one.

## Mend
Delete the excuse.

## Wrong
```yaml
name: Amanita phalloides
id: F9001
rank: species
edibility: {verdict: deadly}
review: {state: unreviewed}
excused:
  - {code: entry.setting-without-region, because: It is meant so., since: 2026-11-25}
```

## Right
```yaml
name: Amanita phalloides
id: F9001
rank: species
edibility: {verdict: deadly}
review: {state: unreviewed}
season: {from: 8, to: 11}
excused:
  - {code: entry.setting-without-region, because: It is meant so., since: 2026-11-25}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Excuse
from sporeproof.checks.judge import NEVER_EXCUSED
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form


@rule("entry.needless-excuse", "error", per="excuse")
def find(excuse: Excuse, form: Form) -> Iterator[Problem]:
    """Yield one problem where the excused rule finds nothing."""
    if excuse.used is not False or not excuse.known or excuse.code.startswith(f"{NEVER_EXCUSED}."):
        return
    yield Problem(
        at=excuse.entry.at("excused", excuse.position, "code"),
        message=f"{excuse.entry.name} excuses {excuse.code}, but that rule finds nothing here.",
        mend="Delete this excuse.",
    )
