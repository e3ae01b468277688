"""A key stands twice in one block.

## Why
Most programs keep the last one and say nothing: a second `verdict` would overrule the first unseen.

## Mend
Keep one of the two. Where both hold part of the truth, join their values under one key.

## Wrong
```yaml
name: Amanita phalloides
edibility:
  verdict: deadly
  verdict: edible
```

## Right
```yaml
name: Amanita phalloides
edibility:
  verdict: deadly
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


@rule("file.duplicate-key", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("duplicate-key"):
        yield Problem(
            at=each.at,
            message=f"The key `{each.words[0]}` stands here again; line {each.words[1]} holds it already.",
            mend="Keep one of the two, and join what both say.",
        )
