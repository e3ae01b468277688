"""An epithet does not agree with its genus.

## Why
An adjective changes its ending with the genus and a noun does not, so a moved name is often written wrong,
and then not found.

## Mend
Write the ending that the gender of the genus asks for. An epithet that is a noun keeps its own.

## Wrong
```yaml
id: F9001
name: Apioperdon pyriformis
rank: species
```

## Right
```yaml
id: F9001
name: Apioperdon pyriforme
rank: species
```

## Source
ICNafp Art. 23.5; gender of genera and nouns from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.gender", "warning", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "gender"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, `{fault.word}` does not agree: {fault.says}.",
            mend=f"Write `{fault.right}`, unless the epithet is a noun.",
        )
