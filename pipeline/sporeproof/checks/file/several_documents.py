"""A file holds more than one entry.

## Why
Only the first would be read, and the others would be lost without a word.

## Mend
Give each taxon a file of its own, and delete the line of three hyphens.

## Wrong
```escaped dataset/taxa/amanita-phalloides.yaml
id: F9001
name: Amanita phalloides
---
id: F9002
name: Amanita virosa
```

## Right
```escaped dataset/taxa/amanita-phalloides.yaml
---
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


@rule("file.several-documents", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("several-documents"):
        yield Problem(
            at=each.at,
            message="A second entry starts here, after three hyphens.",
            mend="Move it to a file of its own, and delete the three hyphens.",
        )
