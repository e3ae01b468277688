"""An epithet repeats the genus.

## Why
The Code bars such names, so this one is a slip, or was current only in older books.

## Mend
Look the name up; it has another epithet.

## Wrong
```yaml
id: F9001
name: Cantharellus cantharellus
rank: species
```

## Right
```yaml
id: F9001
name: Cantharellus cibarius
rank: species
```

## Source
ICNafp Art. 23.4, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.tautonym", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "tautonym"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says}.",
            mend="Look the name up; it has another epithet.",
        )
