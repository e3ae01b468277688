"""A safety error is excused.

## Why
A breach of a safety rule can kill somebody. It is mended, or the entry waits.

## Mend
Mend what the safety rule finds, and delete the excuse.

## Wrong
```yaml
name: Amanita phalloides
id: F9001
rank: species
edibility: {verdict: deadly}
review: {state: unreviewed}
excused:
  - {code: safety.edible-without-confusion, because: It is meant so., since: 2026-11-25}
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


@rule("entry.excused-safety-error", "error", per="excuse")
def find(excuse: Excuse, form: Form) -> Iterator[Problem]:
    """Yield one problem where a rule of safety is excused."""
    if not excuse.known or not excuse.code.startswith(f"{NEVER_EXCUSED}."):
        return
    yield Problem(
        at=excuse.entry.at("excused", excuse.position, "code"),
        message=f"{excuse.entry.name} excuses {excuse.code}; what can harm people is never excused.",
        mend="Mend what that rule finds, and delete this excuse.",
    )
