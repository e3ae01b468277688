"""A character is said to tell two taxa apart, and does not.

## Why
Somebody will hold the one next to the other, look at just this, and be reassured by it.

## Mend
Take the character out of `told_apart_by`, name one that does separate, or move it to `hints`, which are shown
and never relied on. Where only some forms of the edible one differ, `accept_only` in its entry can narrow it
to those.

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


@rule("safety.claim-does-not-separate", "error", per="pair")
def find(pair: Pair, form: Form) -> Iterator[Problem]:
    """Yield one problem for each claimed character that does not separate, or only some forms of the edible side."""
    for index, id in enumerate(pair.confusion.get("told_apart_by") or []):
        if id not in pair.contrasts or pair.contrasts[id].separates not in SAID:
            continue
        a, b = (pair.other, pair.entry) if pair.eaten is pair.other else (pair.entry, pair.other)
        says, mend = SAID[pair.contrasts[id].separates]
        yield Problem(
            at=pair.at_claim(index),
            message=f"`{id}` is said to tell {pair.entry.name} from {pair.other.name}, "
            f"but {says.format(a=a.name, b=b.name)}.",
            mend=(mend if pair.eaten else MOVE).format(a=a.name, id=id),
        )


MOVE = "Move `{id}` to `hints`, or claim a character that does separate."
SAID = {
    "no": ("all that {a} shows of it can be met in {b} too, with its wear and as people report it", MOVE),
    "one-way": (
        "only some forms of {a} differ in it, and others can look like {b}",
        "Narrow the entry of {a} to those forms under `accept_only`, or move `{id}` to `hints`.",
    ),
}
