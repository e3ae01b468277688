r"""A text would run as a formula in a spreadsheet, or breaks its line.

## Why
Every text of an entry becomes a cell of a table. A spreadsheet runs what starts like a formula, and a line break
tears a row in two for programs that read lines.

## Mend
Let the text begin with a word. For a long text use `>-`, which joins its lines, instead of `|`, which keeps them.

## Wrong
```yaml
name: Hydnum repandum
confusions:
  - with: Hydnum rufescens
    note: "=HYPERLINK(1)"
```

## Right
```yaml
name: Hydnum repandum
confusions:
  - with: Hydnum rufescens
    note: >-
      Both have spines
      under the cap.
```

## Source
common practice, no source
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.cells import FORMULA, HARMLESS
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry, Step
from sporeproof.tables.resolve import Checklist

WHOLE = "characters"  # words of the catalogue, checked as such


@rule("entry.unsafe-text", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each text that a table cannot take as it is."""
    for path, text in _texts({key: value for key, value in entry.value.items() if key != WHOLE}):
        breaks = "\n" in text
        if breaks or (re.search(FORMULA, text) and not re.search(HARMLESS, text)):
            says = "breaks its line" if breaks else "starts as a formula does"
            yield Problem(
                at=entry.at(*path),
                message=f"A text of {entry.name} {says}: `{text.splitlines()[0][:40]}`.",
                mend="Write `>-` instead of `|`." if breaks else "Let it begin with a word.",
            )


def _texts(value: Any, path: tuple[Step, ...] = ()) -> Iterator[tuple[tuple[Step, ...], str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict | list):
        for key, below in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _texts(below, (*path, key))
