"""A protection or a syndrome cites a source that nobody has written down.

## Why
What a law says, and when a poisoning shows, is acted upon. A source that nobody can look up is a rumour.

## Mend
Add the source to `sources.yaml`, or write `from-memory`, with `recalls` where it is remembered from a source
on record.

## Wrong
```yaml dataset/protections.yaml
- instrument: Wildlife and Countryside Act 1981
  name_as_listed: Hericium erinaceum
  territories: [GB-ENG]
  acts: [pick]
  source: {source: from-memory, recalls: wildlife-act}
```
```yaml schema/vocabularies/syndromes.yaml
terms: []
```

## Right
```yaml dataset/protections.yaml
- instrument: Wildlife and Countryside Act 1981
  name_as_listed: Hericium erinaceum
  territories: [GB-ENG]
  acts: [pick]
  source: from-memory
```
```yaml schema/vocabularies/syndromes.yaml
terms: []
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Mark, Problem
from sporeproof.form.load import Form
from sporeproof.records.cited import cited
from sporeproof.text.nearest import did_you_mean


@rule("evidence.unknown-source-beside-entries", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each unknown source of protections and of the onsets of syndromes."""
    built_in = {id for id in form.vocabularies["source-kinds"] if form.flagged("source-kinds", id, "built-in")}
    known = built_in | set(whole.checklist.sources)
    protections = whole.companions["protections"]
    for path, id in cited(protections.value):
        if id not in known:
            yield _problem(protections.at(*path), id, known)
    for position, term in enumerate(form.vocabularies["syndromes"].values()):
        for path, id in cited(term.more.get("onsets") or []):
            if id not in known:
                yield _problem(form.at(SYNDROMES, "terms", position, "onsets", *path), id, known)


def _problem(at: Mark, id: str, known: set[str]) -> Problem:
    return Problem(
        at=at,
        message=f"`{id}` is cited here, but does not stand in sources.yaml.",
        mend=did_you_mean(id, known) or f"Add `{id}` to sources.yaml, or cite what it truly rests on.",
    )


SYNDROMES = "vocabularies/syndromes.yaml"
