r"""A text holds a sign that nobody can see.

## Why
Two names that look alike then differ, and a sign that turns the direction of writing can show a reader
another verdict than the file holds.

## Mend
Delete the whole line and type it again; do not paste it.

## Wrong
```escaped dataset/taxa/amanita-phalloides.yaml
name: Amanita\xc2\xa0phalloides
```

## Right
```escaped dataset/taxa/amanita-phalloides.yaml
name: Amanita phalloides
```

## Source
common practice, no source
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Reading


@rule("file.hidden-sign", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("hidden-sign"):
        yield Problem(
            at=each.at,
            message=f"A hidden sign stands in this text: {_called(each.words[0])}.",
            mend="Delete the line and type it again instead of pasting it.",
        )


def _called(code: str) -> str:
    """Return the sign's code with its Unicode name, where it has one."""
    name = unicodedata.name(chr(int(code[2:], 16)), "")
    return f"{code} {name.lower()}".rstrip()
