"""A key has nothing after its colon.

## Why
Nothing can mean *unknown*, *none* or *forgotten*. What is not known is left out; what is none is said.

## Mend
Write the value, or delete the key.

## Wrong
```yaml
name: Amanita phalloides
family:
```

## Right
```yaml
name: Amanita phalloides
family: Amanitaceae
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


@rule("file.nothing-given", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("nothing-given"):
        yield Problem(
            at=each.at,
            message=f"Nothing stands here where {each.words[0]} belongs.",
            mend="Write it, or delete the key.",
        )
