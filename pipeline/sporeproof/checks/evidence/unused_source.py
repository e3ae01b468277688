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
from typing import Any

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.cited import cited
from sporeproof.records.entry import Step


@rule("evidence.unused-source", "notice", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each source that no entry, protection, onset or recorded answer uses.

    Answers about names carry the kind of their source and no id, so one such answer uses each source of the kind.
    """
    values = [entry.value for entry in whole.entries]
    onsets = [term.more.get("onsets") for term in form.vocabularies["syndromes"].values()]
    used = {id for value in (values, whole.companions["protections"].value, onsets) for _, id in _cited_in(value)}
    obtained = {answer.obtained for answer in whole.answers.all()}
    sources = whole.companions["sources"]
    for id, each in sources.value.items():
        if id not in used and each.get("kind") not in obtained:
            yield Problem(
                at=sources.at_key(id),
                message=f"The source `{id}` is cited nowhere.",
                mend="Cite it where it belongs, or delete it.",
            )


def _cited_in(value: list[Any]) -> Iterator[tuple[tuple[Step, ...], str]]:
    for each in value:
        yield from cited(each)
