"""The genus of a name does not start with a capital.

## Why
Links, files and checklists find a taxon by its name, letter for letter.

## Mend
Write the genus with a capital first letter and the rest small.

## Wrong
```yaml
id: F9001
name: amanita phalloides
rank: species
```

## Right
```yaml
id: F9001
name: Amanita phalloides
rank: species
```

## Source
ICNafp Art. 20.1, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.genus-not-capital", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "genus-not-capital"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says}.",
            mend=f"Write `{fault.right}`.",
        )
