"""A name holds a sign that is no part of a name.

## Why
A slash joins two names into none, and a letter of another alphabet that looks right finds nothing.

## Mend
Write the name in the letters a to z. Of two names give one.

## Wrong
```yaml
# file: amanita-excelsa.yaml
id: F9001
name: Amanita excelsa/spissa
rank: species
```

## Right
```yaml
id: F9001
name: Amanita excelsa
rank: species
```

## Source
ICNafp Art. 23.1 and 60, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.foreign-sign", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "foreign-sign"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says}.",
            mend="Write the name in the letters a to z; of two names give one.",
        )
