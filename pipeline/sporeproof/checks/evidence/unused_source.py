"""A source is written down that nothing cites.

## Why
It may be a slip in an id, and a list of sources that nobody used looks like more learning than there is.

## Mend
Cite it where it belongs, or delete it.

## Wrong
```yaml dataset/sources.yaml
walk-sheet-12: {kind: observation, citation: "Fernhollow walk sheet 12 (invented)."}
```
```yaml schema/vocabularies/syndromes.yaml
terms: []
```

## Right
```yaml dataset/sources.yaml
walk-sheet-12: {kind: observation, citation: "Fernhollow walk sheet 12 (invented)."}
```
```yaml schema/vocabularies/syndromes.yaml
terms: []
```
```yaml
id: F9001
name: Hydnum repandum
sources: {setting: walk-sheet-12}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.cited import cited


@rule("evidence.unused-source", "notice", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each source that no entry, protection, onset or recorded answer uses.

    Answers about names carry the kind of their source and no id, so one such answer uses each source of the kind.
    """
    sources = whole.companions["sources"]
    obtained = {answer.obtained for answer in whole.answers.all()}
    left = {id for id, each in sources.value.items() if each.get("kind") not in obtained}
    onsets = [term.more.get("onsets") for term in form.vocabularies["syndromes"].values()]
    for value in (whole.companions["protections"].value, onsets):
        left -= {id for _, id in cited(value)}
    for entry in whole.entries:
        if any(id in entry.text for id in left):  # few entries can cite one that is still left
            left -= {id for _, id in cited(entry.value)}
    for id in sources.value:
        if id in left:
            yield Problem(
                at=sources.at_key(id),
                message=f"The source `{id}` is cited nowhere.",
                mend="Cite it where it belongs, or delete it.",
            )
