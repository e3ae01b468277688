"""A need speaks of one stage, and other stages are accepted as well.

## Why
The need says to leave the old ones, and the proof is worked out for old ones too. Who reads one of the two acts
otherwise than who reads the other.

## Mend
Under `accept_only`, give that stage alone; or take the need out if older ones are truly covered.

## Wrong
```yaml
id: F9001
name: Calvatia gigantea
edibility: {verdict: edible-with-conditions, needs: [young-only], accept_only: {stage: [young, mature]}}
```

## Right
```yaml
id: F9001
name: Calvatia gigantea
edibility: {verdict: edible-with-conditions, needs: [young-only], accept_only: {stage: [young]}}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.confusion.appearance import STAGE
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("safety.need-wants-a-stage", "error", per="entry", released=True)
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each need that speaks of a stage other than those accepted."""
    for index, need in enumerate(entry.needs):
        stage = form.stage_of(need)
        if stage and set(entry.accept_only.get(STAGE, ())) != {stage}:
            yield Problem(
                at=entry.at("edibility", "needs", index),
                message=f"{entry.name} needs `{need}`, but what it accepts is not held to the stage `{stage}`.",
                mend=f"Write `{STAGE}: [{stage}]` under `accept_only`, or take the need out.",
            )
