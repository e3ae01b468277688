r"""A tab stands where only spaces may.

## Why
YAML tells by spaces what belongs to what. A tab is as wide as each editor pleases, so nobody can see where it
ends.

## Mend
Replace each tab at the start of the line by two spaces for each step.

## Wrong
```escaped dataset/taxa/amanita-phalloides.yaml
edibility:
\tverdict: deadly
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


@rule("file.tab", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("tab"):
        yield Problem(
            at=each.at,
            message="A tab stands here, where YAML wants spaces.",
            mend="Replace the tab by two spaces for each step.",
        )
