"""A file nests too deeply.

## Why
An entry needs five steps. What goes on beyond twenty is a slip or meant to overwhelm whoever reads it.

## Mend
Take out the brackets or steps that hold nothing else.

## Wrong
```yaml
name: Amanita phalloides
uses: [[[[[[[[[[[[[[[[[[[[[[[ink]]]]]]]]]]]]]]]]]]]]]]]
```

## Right
```yaml
name: Amanita phalloides
uses: [ink]
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


@rule("file.too-deep", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("too-deep"):
        yield Problem(
            at=each.at,
            message=f"Lists and blocks stand more than {each.words[0]} deep inside one another here.",
            mend="Take out the steps that hold nothing else.",
        )
