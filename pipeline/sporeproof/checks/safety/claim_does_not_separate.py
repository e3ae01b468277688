"""A character is said to tell two taxa apart, and does not.

## Why
Somebody will hold the one next to the other, look at just this, and be reassured by it.

## Mend
Take the character out of `told_apart_by`, name one that does separate, or move it to `hints`, which are shown
and never relied on.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {hymenophore: gills, spore-print: rusty-brown}
confusions: [{with: Galerina marginata, told_apart_by: [spore-print]}]
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {hymenophore: gills, spore-print: rusty-brown}
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {hymenophore: gills, spore-print: rusty-brown}
confusions: [{with: Galerina marginata, hints: [spore-print]}]
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {hymenophore: gills, spore-print: rusty-brown}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Pair
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form


@rule("safety.claim-does-not-separate", "error", per="pair", released=True)
def find(pair: Pair, form: Form) -> Iterator[Problem]:
    """Yield one problem for each claimed character in which all of the edible side can be met in the other too."""
    a, b = (pair.other, pair.entry) if pair.eaten is pair.other else (pair.entry, pair.other)
    for index, id in pair.claims("no"):
        yield Problem(
            at=pair.at_claim(index),
            message=f"`{id}` is said to tell {pair.entry.name} from {pair.other.name}, but all that {a.name} shows of "
            f"it can be met in {b.name} too, with its wear and as people report it.",
            mend=f"Move `{id}` to `hints`, or claim a character that does separate.",
        )
