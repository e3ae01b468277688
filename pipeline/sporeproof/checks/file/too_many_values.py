"""A file holds too many values.

## Why
An entry holds some hundred. Many thousands are no entry, and reading them would keep everybody waiting.

## Mend
Keep one taxon in one file.

## Wrong
```times 20001 dataset/taxa/amanita-phalloides.yaml
- x
```

## Right
```yaml
id: F9001
name: Amanita phalloides
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


@rule("file.too-many-values", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("too-many-values"):
        yield Problem(
            at=each.at,
            message=f"More than {each.words[0]} values stand in {reading.file}.",
            mend="Leave in this file only what the entry says.",
        )
