"""An author citation cannot stand so.

## Why
The authors tell two taxa of one name apart; half a citation tells nothing.

## Mend
Write who first named it in brackets, and after them who moved the name: `(Bull.) Pers.`.

## Wrong
```yaml
id: F9001
name: Hericium erinaceus
rank: species
authorship: (Bull.)
```

## Right
```yaml
id: F9001
name: Hericium erinaceus
rank: species
authorship: (Bull.) Pers.
```

## Source
ICNafp Art. 46 and 49.1, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.forms import faults_of
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use


@rule("name.authorship-form", "error", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem for each fault of this kind in the name."""
    for at, fault in faults_of(use, form, "authorship-form"):
        yield Problem(
            at=at,
            message=f"The authors of {use.name.name}, {fault.word}, cannot stand so: {fault.says}.",
            mend="Write `(first author) who moved the name`, with nobody missing.",
        )
