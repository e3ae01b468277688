"""A file is a link, or lies outside the dataset.

## Why
A contribution could otherwise show what lies elsewhere on the computer that checks it, and a link breaks on
every other one.

## Mend
Put a plain file in the dataset's folder.

## Wrong
```link dataset/taxa/amanita-phalloides.yaml
elsewhere.yaml
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


@rule("file.outside", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("outside"):
        yield Problem(
            at=each.at,
            message=f"{reading.file} {each.words[0]}, so it is not read.",
            mend="Put a plain file with the entry in its place.",
        )
