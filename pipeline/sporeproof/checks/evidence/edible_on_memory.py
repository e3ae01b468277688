"""An edible verdict rests on memory alone.

## Why
Nobody has looked it up, and what is remembered of food is remembered kindly. The release marks it.

## Mend
Find a published source, or agree on it with those who teach and write `common-practice`.

## Wrong
```yaml
id: F9001
name: Hydnum repandum
edibility:
  verdict: edible
  opinions: [{verdict: edible, source: from-memory}]
```

## Right
```yaml
id: F9001
name: Hydnum repandum
edibility:
  verdict: edible
  opinions: [{verdict: edible, source: common-practice}]
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
from sporeproof.tables.build import Facts, evidence_of
from sporeproof.tables.resolve import Checklist


@rule("evidence.edible-on-memory", "warning", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where no source that can carry an edible verdict gives it."""
    weakest = list(form.vocabularies["evidence"])[-1]
    facts = Facts(checklist, form, checklist.sources, [])
    if form.is_edible(entry.verdict) and evidence_of(entry, facts) == weakest:
        yield Problem(
            at=entry.at("edibility", "verdict"),
            message=f"{entry.name} is called {entry.verdict}, and nobody but memory says so.",
            mend="Under `opinions`, add a published source or common practice that gives this verdict.",
        )
