"""A protected name leads to no entry, or to several.

## Why
The law names a species as it was called when it was written. If that name finds nobody, the entry does not
warn.

## Mend
Add the name, spelt as the law spells it, to the former names of its entry. If it may mean several, give the
names there their authorship, and write here what the law writes.

## Wrong
```yaml
id: F9001
name: Hericium erinaceus
```
```yaml dataset/protections.yaml
- instrument: Wildlife and Countryside Act 1981
  name_as_listed: Hericium erinaceum
  territories: [GB-ENG]
  acts: [pick]
  source: from-memory
```

## Right
```yaml
id: F9001
name: Hericium erinaceus
former_names: [{name: Hericium erinaceum, kind: misspelling}]
```
```yaml dataset/protections.yaml
- instrument: Wildlife and Countryside Act 1981
  name_as_listed: Hericium erinaceum
  territories: [GB-ENG]
  acts: [pick]
  source: from-memory
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
from sporeproof.text.nearest import nearest


@rule("dataset.protection-unresolved", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each protection that does not lead to exactly one entry."""
    protections = whole.companions["protections"]
    for index, each in enumerate(protections.value):
        word = each.get("name_as_listed", "")
        link = whole.checklist.find(word)
        if not word or link.one:
            continue
        choices = " and ".join(entry.name for entry in link.entries)
        guess = nearest(word, whole.checklist.words())
        yield Problem(
            at=protections.at(index, "name_as_listed"),
            message=f"{each.get('instrument')} protects {word}, which "
            + (f"may mean {choices}." if choices else "is no name of any entry, now or formerly."),
            mend="Give the names their authorship in those entries, or take one out."
            if choices
            else f"Add {word} to the former names of its entry{f', perhaps that of {guess}' if guess else ''}.",
        )
