"""What stands for a name does not read as one.

## Why
Links and checklists find nothing by it.

## Mend
Write the words of the name alone; authors have a key of their own.

## Wrong
```yaml
id: F9001
name: Amanita phalloides Fr.
rank: species
```

## Right
```yaml
id: F9001
name: Amanita phalloides
rank: species
```

## Source
ICNafp Art. 23.1, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.not-a-name", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "not-a-name"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says} (`{fault.word}`).",
            mend="Write the words of the name alone; authors stand under `authorship`.",
        )
