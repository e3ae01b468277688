"""A file cannot be read.

## Why
What is not read is not checked, and an entry that is left out without a word is a gap that nobody sees.

## Mend
Put a plain file in its place that everybody may read.

## Wrong
```yaml dataset/taxa/amanita-phalloides.yaml/amanita-virosa.yaml
name: Amanita virosa
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


@rule("file.not-readable", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("not-readable"):
        yield Problem(
            at=each.at,
            message=f"{reading.file} cannot be read: {each.words[0]}.",
            mend="Put a plain file in its place that everybody may read.",
        )
