"""An id that has ended leads to another one that has ended.

## Why
Programs follow one step. A link to a link leads them to nothing.

## Mend
Let it lead to the entry at the end of the way.

## Wrong
```yaml
id: F9002
name: Galerina marginata
```
```yaml dataset/retired.yaml
F9021: {was: Galerina autumnalis, replaced_by: [F9022], since: 3.1.0, because: Held to be the same.}
F9022: {was: Galerina unicolor, replaced_by: [F9002], since: 3.2.0, because: Held to be the same.}
```

## Right
```yaml
id: F9002
name: Galerina marginata
```
```yaml dataset/retired.yaml
F9021: {was: Galerina autumnalis, replaced_by: [F9002], since: 3.1.0, because: Held to be the same.}
F9022: {was: Galerina unicolor, replaced_by: [F9002], since: 3.2.0, because: Held to be the same.}
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


@rule("dataset.retired-leads-to-retired", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each successor that has ended as well."""
    checklist = whole.checklist
    for id, retired in checklist.retired.items():
        for key in ("replaced_by", "consider"):
            for index, word in enumerate(retired.get(key) or []):
                if word in checklist.retired:
                    onward = " or ".join(each.key for each in checklist.successors(word))
                    yield Problem(
                        at=whole.companions["retired"].at(id, key, index),
                        message=f"{id} leads to {word}, which has ended itself.",
                        mend=f"Let it lead to {onward}." if onward else "Let it lead to an entry that exists.",
                    )
