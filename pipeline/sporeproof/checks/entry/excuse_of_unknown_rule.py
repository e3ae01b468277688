"""An excuse names a rule that there is not.

## Why
It excuses nothing, and whoever reads it believes that it does.

## Mend
Copy the code from the finding, or delete the excuse.

## Wrong
```yaml
name: Amanita phalloides
id: F9001
rank: species
edibility: {verdict: deadly}
review: {state: unreviewed}
excused:
  - {code: season.too-long, because: It is meant so., since: 2026-11-25}
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
from sporeproof.checks.registry import all_rules, rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.text.nearest import did_you_mean


@rule("entry.excuse-of-unknown-rule", "error", per="excuse")
def find(excuse: Excuse, form: Form) -> Iterator[Problem]:
    """Yield one problem where no rule has the code."""
    if excuse.known:
        return
    yield Problem(
        at=excuse.entry.at("excused", excuse.position, "code"),
        message=f"{excuse.entry.name} excuses {excuse.code}, but no rule has that code.",
        mend=did_you_mean(excuse.code, all_rules()) or "Copy the code from the finding, or delete this excuse.",
    )
