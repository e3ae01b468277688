r"""A file starts with a byte order mark.

## Why
The mark is three bytes that no editor shows. Some programs take them for a part of the first key, which then
is unknown.

## Mend
Save the file as UTF-8 without a byte order mark ("without BOM").

## Wrong
```escaped dataset/taxa/amanita-phalloides.yaml
\xef\xbb\xbfname: Amanita phalloides
```

## Right
```escaped dataset/taxa/amanita-phalloides.yaml
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


@rule("file.byte-order-mark", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("byte-order-mark"):
        yield Problem(
            at=each.at,
            message=f"{reading.file} starts with a byte order mark, which cannot be seen.",
            mend="Save the file as UTF-8 without a byte order mark.",
        )
