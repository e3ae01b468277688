"""What stands before a colon is not a word.

## Why
Keys are words of the schema. A number, a list or nothing at all before a colon cannot be one of them, and two
programs read it as two things.

## Mend
Write the key as a word. If it must look like a number, put it in quotes.

## Wrong
```yaml
name: Amanita phalloides
vernacular:
  44: [Death cap]
```

## Right
```yaml
name: Amanita phalloides
vernacular:
  en: [Death cap]
```

## Source
YAML 1.1, implicit types (from memory)
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Reading


@rule("file.key-not-a-word", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each key that is not a word."""
    for each in reading.of("key-not-a-word"):
        word, read_as = each.words
        yield Problem(
            at=each.at,
            message=f"The key `{word}` is {read_as}, not a word." if word else f"Before this colon stands {read_as}.",
            mend="Write a word before the colon.",
        )
