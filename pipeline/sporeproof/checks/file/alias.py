"""A value is a reference to another place in the file.

## Why
A reader must see what an entry says where it is said. References also let a small file grow without end.

## Mend
Write the value itself where the star stands.

## Wrong
```yaml
name: Amanita phalloides
substrate: &soil [soil]
habitat: *soil
```

## Right
```yaml
name: Amanita phalloides
substrate: [soil]
habitat: [deciduous-woodland]
```

## Source
YAML 1.1, alias nodes (from memory)
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Reading


@rule("file.alias", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("alias"):
        yield Problem(
            at=each.at,
            message=f"`*{each.words[0]}` stands for a value that is written elsewhere.",
            mend="Write the value itself here.",
        )
