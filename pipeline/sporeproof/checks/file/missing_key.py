"""A key that every entry needs is missing.

## Why
Without it the entry cannot be found, or does not say what people act on.

## Mend
Add the key with its value.

## Wrong
```yaml
id: F9001
name: Amanita phalloides
rank: species
review: {state: unreviewed}
edibility: {cautions: []}
```

## Right
```yaml
id: F9001
name: Amanita phalloides
rank: species
review: {state: unreviewed}
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
from sporeproof.records.entry import Reading


@rule("file.missing-key", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each key that is missing."""
    for each in reading.of("missing-key"):
        key, says = each.words
        holds = f": {says[0].lower()}{says[1:]}" if says else "."
        yield Problem(
            at=each.at,
            message=f"The key `{key}` is missing here{holds}",
            mend=f"Add `{key}:` with its value.",
        )
