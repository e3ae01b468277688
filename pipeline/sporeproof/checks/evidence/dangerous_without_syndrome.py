"""A deadly or poisonous entry names no syndrome.

## Why
The syndrome says when the signs come and what they are. Without it nobody knows how long to watch somebody.

## Mend
Under `syndromes`, name each poisoning that it causes. If none is known, leave it and excuse this with the
reason.

## Wrong
```yaml
id: F9001
name: Amanita phalloides
edibility: {verdict: deadly}
```

## Right
```yaml
id: F9001
name: Amanita phalloides
edibility: {verdict: deadly, syndromes: [hepatotoxic-amatoxin]}
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


@rule("evidence.dangerous-without-syndrome", "warning", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where a deadly or poisonous entry says nothing of the poisoning."""
    if form.is_toxic(entry.verdict) and not entry.syndromes:
        yield Problem(
            at=entry.at("edibility", "verdict"),
            message=f"{entry.name} is called {entry.verdict}, but nothing stands under `syndromes`.",
            mend="Under `syndromes`, name each poisoning that it causes.",
        )
