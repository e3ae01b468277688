"""Two entries bear the same current name.

## Why
Two verdicts under one name: whoever finds the milder one eats by it. Every link to the name leads to both.

## Mend
Put both into one entry, with the more dangerous verdict. A group of species ends its name in `group`.

## Wrong
```yaml
id: F9001
name: Galerina marginata
```
```yaml
id: F9002
name: Galerina marginata
```

## Right
```yaml
id: F9001
name: Galerina marginata
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
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import spelled


@rule("dataset.duplicate-name", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield a problem on each entry whose current name another one bears."""
    bearers: dict[str, list[Entry]] = defaultdict(list)
    for entry in whole.entries:
        bearers[spelled(entry.name)].append(entry)
    for name, entries in bearers.items():
        for entry in entries if len(entries) > 1 else ():
            others = " and ".join(each.file for each in entries if each is not entry)
            yield Problem(
                at=entry.at("name"),
                message=f"{name} stands here and in {others}.",
                mend="Put both into one entry, with the more dangerous verdict; the name of a group ends in `group`.",
            )
