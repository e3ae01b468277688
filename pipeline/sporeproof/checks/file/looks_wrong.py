"""A text does not look like what its place holds.

## Why
Ids, codes and family names have a fixed form, so that programs and people find them again.

## Mend
Write it in the form that the finding names.

## Wrong
```yaml
id: 9001F
name: Amanita phalloides
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


@rule("file.looks-wrong", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("looks-wrong"):
        yield Problem(
            at=each.at,
            message=f"`{each.words[0]}` does not look like {each.words[1]}.",
            mend=f"Write {each.words[1]}.",
        )
