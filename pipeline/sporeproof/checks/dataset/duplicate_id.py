"""Two entries bear the same id.

## Why
Whoever holds this id in an app or a notebook is led to one of two taxa, and nothing says to which.

## Mend
The id stays with the entry that had it first; let the other say `new` until it is given one.

## Wrong
```yaml
id: F9001
name: Galerina marginata
```
```yaml
id: F9001
name: Kuehneromyces mutabilis
```

## Right
```yaml
id: F9001
name: Galerina marginata
```
```yaml
id: new
name: Kuehneromyces mutabilis
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import NOT_NUMBERED, Entry


@rule("dataset.duplicate-id", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield a problem on each entry whose id another one bears."""
    bearers: dict[str, list[Entry]] = defaultdict(list)
    for entry in whole.entries:
        if entry.id not in {"", NOT_NUMBERED}:
            bearers[entry.id].append(entry)
    for id, entries in bearers.items():
        for entry in entries if len(entries) > 1 else ():
            others = " and ".join(each.name for each in entries if each is not entry)
            yield Problem(
                at=entry.at("id"),
                message=f"{entry.name} bears the id {id}, and so does {others}.",
                mend=f"Leave {id} to the entry that had it first, and write `{NOT_NUMBERED}` in the other.",
            )
