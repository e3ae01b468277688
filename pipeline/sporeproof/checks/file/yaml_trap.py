"""YAML reads a value as something else than it looks like.

## Why
`NO` for Norway is read as *no*, `12:30` as the number 750, `1.10` as 1.1 and `010` as 8. What one person
writes and what everybody else gets then differ.

## Mend
Put a text in double quotes. Write a number in plain digits, without a sign, leading noughts or trailing ones,
and a date as year, month and day with hyphens.

## Wrong
```yaml
name: Amanita phalloides
region: NO
```

## Right
```yaml
name: Amanita phalloides
region: "NO"
```

## Source
YAML 1.1, implicit types (from memory)
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.build import KINDS
from sporeproof.records.entry import Reading

# What is not written in quotes.
UNQUOTED = {KINDS[kind] for kind in ("whole", "number", "date")}


@rule("file.yaml-trap", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each value that is read as something else."""
    for each in reading.of("yaml-trap"):
        word, read_as, wanted = each.words
        in_quotes = wanted not in UNQUOTED
        yield Problem(
            at=each.at,
            message=f"YAML reads `{word}` as {read_as}; this place holds {wanted}.",
            mend=f'Write it in quotes: `"{word}"`.' if in_quotes else f"Write {wanted} in plain digits.",
        )
