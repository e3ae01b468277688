"""A name has too few words.

## Why
A genus alone can mean any of its species, the worst one included.

## Mend
Write genus and epithet; below the species, the term and the last epithet as well.

## Wrong
```yaml
id: F9001
name: Amanita
rank: species
```

## Right
```yaml
id: F9001
name: Amanita phalloides
rank: species
```

## Source
ICNafp Art. 23.1 and 24.1, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.words-missing", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "words-missing"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says}.",
            mend="Write the name in full, or give the rank that it has.",
        )
