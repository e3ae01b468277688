"""A listed confusion is one that likeness alone would not have suggested.

## Why
Somebody knows that the two are confused, and the recorded traits neither make them alike nor leave them thinly told
apart. Had nobody listed the pair, no rule would have asked for it. So the traits lack what makes the two look alike, or
the pair is confused for another reason, such as a name.

## Mend
Look at both with `sporeproof compare`. Record what is missing in either entry, young, old and washed ones included.
Where nothing is missing, leave it: the figure in the news says how many there are.

## Wrong
```yaml dataset/package.yaml
similarity_threshold: 0.5
```
```yaml
id: F9001
name: Hydnum repandum
edibility: {verdict: edible}
characters: {body: cap-and-stem, hymenophore: spines}
confusions: [{with: Ramaria formosa, note: Broken pieces.}]
```
```yaml
id: F9002
name: Ramaria formosa
edibility: {verdict: poisonous}
characters: {body: coral, hymenophore: pores}
```

## Right
```yaml dataset/package.yaml
similarity_threshold: 0.3
```
```yaml
id: F9001
name: Hydnum repandum
edibility: {verdict: edible}
characters: {body: cap-and-stem, hymenophore: spines}
confusions: [{with: Ramaria formosa, note: Broken pieces.}]
```
```yaml
id: F9002
name: Ramaria formosa
edibility: {verdict: poisonous}
characters: {body: [cap-and-stem, coral], hymenophore: pores}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sporeproof.checks.registry import rule
from sporeproof.checks.suspicious import confusions_at, named
from sporeproof.findings import Problem
from sporeproof.form.load import Form

if TYPE_CHECKING:
    from sporeproof.confusion.suspected import Suspected


@rule("dataset.blind-spot", "notice", per="suspects")
def find(suspected: Suspected, form: Form) -> Iterator[Problem]:
    """Yield one problem for an edible entry with listed dangerous confusions that are neither alike nor thin."""
    if blind := suspected.authored & suspected.suspects.dangerous & ~suspected.computed:
        yield Problem(
            at=confusions_at(suspected.entry),
            message=f"{suspected.entry.name}: nothing recorded would have suggested {named(suspected, blind)}, "
            "which is listed.",
            mend="Compare the two, and record what is missing in either entry; where nothing is, leave it.",
        )
