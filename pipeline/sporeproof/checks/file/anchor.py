"""A value is marked so that other places can refer to it.

## Why
Each value stands for itself alone, so that a change in one place changes nothing elsewhere.

## Mend
Delete the ampersand and the word after it. A text that starts with an ampersand needs quotes.

## Wrong
```yaml
name: Amanita phalloides
substrate: &soil [soil]
```

## Right
```yaml
name: Amanita phalloides
substrate: [soil]
```

## Source
YAML 1.1, anchors (from memory)
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Reading


@rule("file.anchor", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("anchor"):
        yield Problem(
            at=each.at,
            message=f"`&{each.words[0]}` marks a value for use elsewhere.",
            mend=f"Delete `&{each.words[0]}`.",
        )
