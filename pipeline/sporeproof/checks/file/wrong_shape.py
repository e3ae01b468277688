"""A value has another shape than its place asks for.

## Why
A list where one word belongs, or a word where a block of keys belongs, cannot be understood without guessing.

## Mend
Compare the place with the example entry: one word stands alone, several stand in square brackets, and a block
has keys with values.

## Wrong
```yaml
name: Amanita phalloides
edibility: deadly
```

## Right
```yaml
name: Amanita phalloides
edibility: {verdict: deadly}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.build import KINDS
from sporeproof.records.entry import Reading

EXAMPLES = {
    KINDS["list"]: " in square brackets, such as `[one, two]`",
    KINDS["keys"]: ", such as `{key: value}`",
}


@rule("file.wrong-shape", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for each value of another shape."""
    for each in reading.of("wrong-shape"):
        word, found, wanted = each.words
        shown = f"`{word}`" if word else found
        yield Problem(
            at=each.at,
            message=f"Here stands {shown} where {wanted} belongs.",
            mend=f"Write {wanted}{EXAMPLES.get(wanted, '')}.",
        )
