"""A key is not in the schema.

## Why
What stands under it is not read at all, so a caution with a misspelt key protects nobody.

## Mend
Write the key as the schema has it. `schema/entry.yaml` lists all keys and says what each holds.

## Wrong
```yaml
name: Amanita phalloides
edibilty: {verdict: deadly}
```

## Right
```yaml
name: Amanita phalloides
edibility: {verdict: deadly}
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
from sporeproof.text.nearest import did_you_mean


@rule("file.unknown-key", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each key that the schema does not hold."""
    for each in reading.of("unknown-key"):
        key, *known = each.words
        yield Problem(
            at=each.at,
            message=f"The key `{key}` has no meaning in this place.",
            mend=did_you_mean(key, known) or f"Use one of the keys that belong here: {', '.join(known)}.",
        )
