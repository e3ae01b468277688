"""A name that repeats the epithet of the species has an author.

## Why
Such a name arises by itself and has no author; with one it reads like another name.

## Mend
Take the authorship out.

## Wrong
```yaml
id: F9001
name: Amanita muscaria var. muscaria
rank: variety
authorship: (L.) Lam.
```

## Right
```yaml
id: F9001
name: Amanita muscaria var. muscaria
rank: variety
```

## Source
ICNafp Art. 26.1, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.autonym-with-author", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "autonym-with-author"):
        yield Problem(
            at=at,
            message=f"{use.name.name} has an author, {fault.word}; {fault.says}.",
            mend="Take the authorship out.",
        )
