"""A name carries a mark of doubt or of sense.

## Why
`cf.`, `agg.` or `s.l.` say how sure somebody was, or in whose sense; the name that remains is somebody's
guess.

## Mend
Take the mark out. A group of species is an entry of its own, with its members.

## Wrong
```yaml
id: F9001
name: Armillaria mellea agg.
rank: species
```

## Right
```yaml
id: F9001
name: Armillaria mellea
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


@rule("name.qualifier", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "qualifier"):
        yield Problem(
            at=at,
            message=f"In {use.name.name}, {fault.says}.",
            mend=f"Take `{fault.word}` out; for several species make an entry of a group, with its members.",
        )
