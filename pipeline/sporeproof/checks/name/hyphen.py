"""A name has a hyphen that does not belong.

## Why
The Code joins such parts, so checklists hold the name without the hyphen.

## Mend
Write it as one word. A hyphen stays where the parts are words of their own, or between two equal vowels.

## Wrong
```yaml
id: F9001
name: Stropharia rugoso-annulata
rank: species
```

## Right
```yaml
id: F9001
name: Stropharia rugosoannulata
rank: species
```

## Source
ICNafp Art. 60.11, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.hyphen", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "hyphen"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says}.",
            mend=f"Write `{fault.right}`.",
        )
