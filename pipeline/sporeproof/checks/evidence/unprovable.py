"""A value is missing without which suspects cannot be ruled out.

## Why
What is not known tells nothing apart. The grade of the edible taxon stays low, however plain the difference is to
whoever knows both.

## Mend
Record the value that is named, if you know it, with its source; never a guess. `sporeproof gaps` lists what else would
settle pairs. Where nobody knows the value, leave it: it is what the dataset has to learn.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {body: cap-and-stem, hymenophore: gills, volva: none, ring: present, gill-spacing: distant}
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {body: cap-and-stem, hymenophore: gills, volva: none, gill-spacing: crowded}
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {body: cap-and-stem, hymenophore: gills, volva: none, ring: present, gill-spacing: distant}
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {body: cap-and-stem, hymenophore: gills, volva: none, gill-spacing: crowded, ring: absent}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form

if TYPE_CHECKING:
    from sporeproof.confusion.suspected import Suspected


@rule("evidence.unprovable", "notice", per="suspects")
def find(suspected: Suspected, form: Form) -> Iterator[Problem]:
    """Yield one problem for an edible entry with suspects that an unknown value leaves too little told apart."""
    wanting = suspected.wanting(form) if suspected.is_whole and suspected.short else None
    if wanting and wanting.cell:
        whose, character = wanting.cell
        yield Problem(
            at=suspected.entry.at_key("characters"),
            message=f"{suspected.entry.name}: of {wanting.short} suspects that are too little told apart in the field "
            f"something is not known. `{character.id}` of {whose.name} might settle {wanting.settles} of them.",
            mend=f"Record `{character.id}` of {whose.name} if you know it, young and mature; "
            f'`sporeproof gaps --for "{suspected.entry.name}"` lists more.',
        )
