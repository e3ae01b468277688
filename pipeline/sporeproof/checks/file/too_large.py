"""A file is too large to be an entry.

## Why
An entry is a page that one person can review. A file that is far larger holds something else, and reading it
would keep everybody waiting.

## Mend
Keep one taxon in one file, and leave out what is no part of the entry, such as a pasted article.

## Wrong
```times 30000 dataset/taxa/amanita-phalloides.yaml
# pasted text
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


@rule("file.too-large", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("too-large"):
        yield Problem(
            at=each.at,
            message=f"{reading.file} holds more than {each.words[1]} KiB, so it is not read.",
            mend="Leave in this file only what the entry says.",
        )
