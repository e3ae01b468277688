"""The term before the last epithet is missing or another one.

## Why
Variety, form and subspecies of one name can be three taxa.

## Mend
Write `subsp.`, `var.` or `f.` before the last epithet, as the rank has it.

## Wrong
```yaml
id: F9001
name: Amanita muscaria ssp. flavivolvata
rank: subspecies
```

## Right
```yaml
id: F9001
name: Amanita muscaria subsp. flavivolvata
rank: subspecies
```

## Source
ICNafp Art. 24.1, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.rank-term", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "rank-term"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says}.",
            mend=f"Write `{fault.right}` instead of `{fault.word}`."
            if fault.right
            else "Write the name as its rank asks for.",
        )
