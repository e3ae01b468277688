"""A file holds nothing.

## Why
The taxon seems to be recorded and is not. Most often the file was saved before it was written.

## Mend
Write the entry, or delete the file.

## Wrong
```escaped dataset/taxa/amanita-phalloides.yaml
# to be written
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


@rule("file.empty", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("empty"):
        yield Problem(
            at=each.at,
            message=f"{reading.file} holds no entry.",
            mend="Write the entry, or delete the file.",
        )
