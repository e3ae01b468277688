"""A source is cited that nobody has written down.

## Why
A statement is as good as its source. One that nobody can look up is a rumour.

## Mend
Add the source to `sources.yaml`, or write `common-practice` or `from-memory`, whichever is true.

## Wrong
```yaml
id: F9001
name: Hydnum repandum
edibility:
  verdict: edible
  opinions: [{verdict: edible, source: walk-sheet-12}]
```

## Right
```yaml
id: F9001
name: Hydnum repandum
edibility:
  verdict: edible
  opinions: [{verdict: edible, source: walk-sheet-12}]
```
```yaml dataset/sources.yaml
walk-sheet-12: {kind: observation, citation: "Fernhollow walk sheet 12 (invented)."}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.cited import cited
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist
from sporeproof.text.nearest import did_you_mean


@rule("evidence.unknown-source", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each cited source that is neither written down nor built in."""
    built_in = [id for id in form.vocabularies["source-kinds"] if form.flagged("source-kinds", id, "built-in")]
    known = [*checklist.sources, *built_in]
    for path, id in cited(entry.value):
        if id not in known:
            yield Problem(
                at=entry.at(*path),
                message=f"{entry.name} cites `{id}`, which does not stand in sources.yaml.",
                mend=did_you_mean(id, known) or f"Add `{id}` to sources.yaml, or cite what it truly rests on.",
            )
