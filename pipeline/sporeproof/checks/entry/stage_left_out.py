"""A value by stage leaves out the young or the mature fruitbodies.

## Why
Nobody can say what the taxon never looks like while one age is unknown, so the character counts as unknown
and separates it from nothing.

## Mend
Add the stage that is missing. Where all ages look the same, write the value without stages.

## Wrong
```yaml
name: Amanita phalloides
characters:
  ring: {mature: present}
```

## Right
```yaml
name: Amanita phalloides
characters:
  ring: {young: present, mature: [present, absent]}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.recorded import recorded
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry
from sporeproof.tables.resolve import Checklist


@rule("entry.stage-left-out", "warning", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each character that leaves out an age."""
    stages: dict[str, set[str]] = {}
    for given in recorded(entry):
        stages.setdefault(given.id, set()).add(given.stage)
    for id, there in stages.items():
        missing = [each for each in form.stages if each in form.needed_stages - there]
        if UNSTAGED in there or not missing:
            continue
        yield Problem(
            at=entry.at_key("characters", id),
            message=f"{entry.name} gives {id} by stage, but not for {' and '.join(missing)} ones.",
            mend=f"Add `{missing[0]}:`, or write the value without stages if it is always the same.",
        )
