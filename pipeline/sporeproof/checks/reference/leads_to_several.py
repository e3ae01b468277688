"""A link may lead to more than one entry.

## Why
The confusion that was meant may be the deadly one, and nothing says so.

## Mend
Write the current name of the one that is meant, or its id.

## Wrong
```yaml
id: F9001
name: Agaricus campestris
confusions: [{with: white cap}]
```
```yaml
id: F9002
name: Amanita phalloides
vernacular: {en: [White cap]}
```
```yaml
id: F9003
name: Agaricus xanthodermus
vernacular: {en: [White cap]}
```

## Right
```yaml
id: F9001
name: Agaricus campestris
confusions: [{with: Amanita phalloides}]
```
```yaml
id: F9002
name: Amanita phalloides
vernacular: {en: [White cap]}
```
```yaml
id: F9003
name: Agaricus xanthodermus
vernacular: {en: [White cap]}
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
from sporeproof.tables.resolve import Checklist, references


@rule("reference.leads-to-several", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each link that more than one entry answers to."""
    for path, word in references(entry):
        link = checklist.find(word)
        if len(link.entries) > 1 and link.by != "retired":
            choices = " and ".join(f"{each.name} ({each.key})" for each in link.entries)
            yield Problem(
                at=entry.at(*path),
                message=f"{entry.name} links to {word}, which may mean {choices}.",
                mend="Write the current name of the one that is meant; where two share that, its id.",
            )
