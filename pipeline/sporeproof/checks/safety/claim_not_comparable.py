"""A character is said to tell two taxa apart, and one side says too little of it.

## Why
Nothing shows that the claim is true, and it is never counted as proof. What looks settled is not.

## Mend
Record the character in both entries, at every age if it changes; or move it to `hints`.

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
characters: {hymenophore: gills}
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {hymenophore: gills, spore-print: white}
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


@rule("safety.claim-not-comparable", "warning", per="pair", released=True)
def find(pair: Pair, form: Form) -> Iterator[Problem]:
    """Yield one problem for each claimed character that is unknown of one side, or does not apply to it."""
    for index, id in enumerate(pair.confusion.get("told_apart_by") or []):
        if id not in pair.contrasts or pair.contrasts[id].separates not in {"unknown", "not-applicable"}:
            continue
        lacking = [each.name for each in (pair.entry, pair.other) if id not in each.characters]
        if pair.contrasts[id].separates == "not-applicable":
            says = "it does not apply to one of the two"
        elif lacking:
            says = f"nothing is recorded of it under {' and '.join(lacking)}"
        else:
            says = "what is recorded of it leaves out an age or what it depends on, or holds a word that is no state"
        yield Problem(
            at=pair.at_claim(index),
            message=f"`{id}` is said to tell {pair.entry.name} from {pair.other.name}, but {says}.",
            mend=f"Record `{id}` in full in both entries, or move it to `hints`.",
        )
