"""A value bears a YAML tag.

## Why
A tag tells a program to make something else of a text than what is written, and some run code for it.

## Mend
Delete the exclamation mark and the word after it. A text that starts with one needs quotes.

## Wrong
```yaml
name: Amanita phalloides
rank: !!str species
```

## Right
```yaml
name: Amanita phalloides
rank: species
```

## Source
YAML 1.1, tags (from memory)
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Reading

STANDARD = "tag:yaml.org,2002:"


@rule("file.tag", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each trouble of this kind."""
    for each in reading.of("tag"):
        yield Problem(
            at=each.at,
            message=f"`{_short(each.words[0])}` tells YAML to read this value as something else.",
            mend="Delete the tag; if it is part of the text, put the text in quotes.",
        )


def _short(tag: str) -> str:
    """Return the tag as it is usually written."""
    return tag.replace(STANDARD, "!!")
