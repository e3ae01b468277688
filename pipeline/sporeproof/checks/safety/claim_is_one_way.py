"""A character is said to tell two taxa apart, and does so for some forms only.

## Why
Where the sign is there the two are told apart; where it is not, somebody goes on looking at it, or takes its absence
for nothing. A ring proves something, a lost ring proves nothing.

## Mend
Narrow the entry of the edible one to the forms that differ, under `accept_only`: the verdict then covers only those.
Or move the character to `hints`, which are shown and never relied on.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {hymenophore: gills, spore-print: [white, rusty-brown]}
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
edibility: {verdict: edible-with-conditions, accept_only: {spore-print: [white]}}
characters: {hymenophore: gills, spore-print: [white, rusty-brown]}
confusions: [{with: Galerina marginata, told_apart_by: [spore-print]}]
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


@rule("safety.claim-is-one-way", "error", per="pair", released=True)
def find(pair: Pair, form: Form) -> Iterator[Problem]:
    """Yield one problem for each claimed character in which only some of the edible side differ from the other."""
    a, b = (pair.other, pair.entry) if pair.eaten is pair.other else (pair.entry, pair.other)
    narrow = f"Narrow the entry of {a.name} to those forms under `accept_only`, or move" if pair.eaten else "Move"
    for index, id in pair.claims("one-way"):
        yield Problem(
            at=pair.at_claim(index),
            message=f"`{id}` is said to tell {pair.entry.name} from {pair.other.name}, but only some forms of {a.name} "
            f"differ in it, and others can look like {b.name}.",
            mend=f"{narrow} `{id}` to `hints`.",
        )
