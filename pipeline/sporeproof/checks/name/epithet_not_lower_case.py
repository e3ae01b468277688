"""An epithet has a capital.

## Why
Links, files and checklists find a taxon by its name, letter for letter.

## Mend
Write the epithet small, even where it honours a person.

## Wrong
```yaml
id: F9001
name: Russula Mairei
rank: species
```

## Right
```yaml
id: F9001
name: Russula mairei
rank: species
```

## Source
ICNafp Rec. 60F, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.epithet-not-lower-case", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "epithet-not-lower-case"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, `{fault.word}` has a capital; {fault.says}.",
            mend=f"Write `{fault.right}`.",
        )
