"""A hint is a word that nobody can explain.

## Why
Hints are shown by the title of the character they name. A mistyped one is shown as it stands, and says nothing. What
a hint is worth is never checked: it proves nothing, and is never counted.

## Mend
Write the id of a character, or `season`, `hosts`, `habitat` or `substrate`; anything else goes into `note`.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata, hints: [smel]}]
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata, hints: [smell, season]}]
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist
from sporeproof.text.nearest import did_you_mean


@rule("reference.hint-not-known", "warning", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each hint that is neither a character nor a key of the setting."""
    for position, each in enumerate(entry.value.get("confusions") or []):
        for index, word in enumerate(each.get("hints") or []):
            if word not in form.hints:
                yield Problem(
                    at=entry.at("confusions", position, "hints", index),
                    message=f"{entry.name} gives the hint `{word}`, which is no character and no part of the setting.",
                    mend=did_you_mean(word, form.hints) or "Write a character of the catalogue, or use `note`.",
                )
