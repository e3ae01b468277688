r"""A file holds a byte that is not UTF-8.

## Why
Written in another encoding, accented authors and places turn into other signs, and two people read two texts.

## Mend
Save the file as UTF-8; every editor offers that where it saves.

## Wrong
```escaped dataset/taxa/amanita-phalloides.yaml
name: Amanita phalloides
authorship: (Vaill. ex Fr.) Link, from M\xfcller
```

## Right
```escaped dataset/taxa/amanita-phalloides.yaml
name: Amanita phalloides
authorship: (Vaill. ex Fr.) Link, from M\xc3\xbcller
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


@rule("file.not-utf8", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("not-utf8"):
        yield Problem(
            at=each.at,
            message=f"The byte {each.words[0]} stands here, which is not UTF-8.",
            mend="Save the file as UTF-8, then look at this place again: the sign may have been lost.",
        )
