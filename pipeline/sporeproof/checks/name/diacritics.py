"""A name has a letter with a sign.

## Why
Names are written in plain letters, so that everybody can type and find them.

## Mend
Write the letter as the Code does: é as e, ü as ue, ø as oe. Authors keep their signs.

## Wrong
```yaml
id: F9001
name: Russula mairéi
rank: species
```

## Right
```yaml
id: F9001
name: Russula mairei
rank: species
```

## Source
ICNafp Art. 60.7, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.diacritics", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "diacritics"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says}.",
            mend=f"Write `{fault.right}`.",
        )
