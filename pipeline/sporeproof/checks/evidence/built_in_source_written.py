"""A built-in kind of source is written into the list of sources.

## Why
`from-memory` and `common-practice` mean the same everywhere. Written down as something else, memory would
pass for a book.

## Mend
Delete it; both are always there. A source that can be named gets the kind that it is.

## Wrong
```yaml dataset/sources.yaml
from-memory: {kind: published, citation: What we all know.}
```

## Right
```yaml dataset/sources.yaml
walk-sheet-12: {kind: observation, citation: "Fernhollow walk sheet 12 (invented)."}
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


@rule("evidence.built-in-source-written", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each source whose id or kind is built in."""
    sources = whole.companions["sources"]
    for id, each in sources.value.items():
        for word in (id, each.get("kind", "")):
            if form.flagged("source-kinds", word, "built-in"):
                yield Problem(
                    at=sources.at_key(id),
                    message=f"The source `{id}` is written down here, but `{word}` is built in and never written down.",
                    mend=f"Delete it, and cite `{word}` itself.",
                )
                break
