"""The threshold of similarity is no number from 0 to 1.

## Why
Similarities lie from 0 to 1. Above 1 no two taxa would count as alike, and pairs that look alike would go unasked.
Until it is mended every pair counts as alike.

## Mend
Write the number that `sporeproof calibrate` proposes, or leave the key out.

## Wrong
```yaml dataset/package.yaml
similarity_threshold: 58
```

## Right
```yaml dataset/package.yaml
similarity_threshold: 0.58
```

## Source
Gower 1971, Biometrics 27: a similarity lies from 0 to 1
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form


@rule("dataset.threshold-outside", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for a threshold that no similarity can be held against."""
    package = whole.companions["package"]
    given = package.value.get(KEY)
    if isinstance(given, int | float) and not 0 <= given <= 1:
        yield Problem(
            at=package.at(KEY),
            message=f"{given} is no similarity: it must lie from 0 to 1.",
            mend="Write the number that `sporeproof calibrate` proposes, such as 0.58.",
        )


KEY = "similarity_threshold"
