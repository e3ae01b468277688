"""A dangerous taxon can be taken for this edible one, and nobody lists it.

## Why
By what their entries record, little or nothing in the field tells the two apart, or they look much alike. Whoever
reads only the confusions of an entry is not warned.

## Mend
Compare the two with `sporeproof compare`. If anybody could take one for the other, old, young, washed or broken ones
included, list it under `confusions` of either entry. If not, say why under `not_confused_with` of the edible one. A
missing or too wide value in either entry is often the cause: record what is true, and never less than is true.
What is deadly and told apart by nothing is always an error, and so is what looks alike and is told apart by one thing
at most; it is a warning where it looks unlike, where the other one is eaten after another preparation, and where nobody
has settled whether it can be eaten. Whatever looks alike is a warning even where two things tell it apart.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {body: cap-and-stem, hymenophore: gills, ring: present, volva: none}
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {body: cap-and-stem, hymenophore: gills, ring: present, volva: none}
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {body: cap-and-stem, hymenophore: gills, ring: present, volva: none}
confusions: [{with: Galerina marginata, note: They share logs.}]
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {body: cap-and-stem, hymenophore: gills, ring: present, volva: none}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sporeproof.checks.registry import rule
from sporeproof.checks.suspicious import confusions_at, named
from sporeproof.findings import Level, Problem
from sporeproof.form.load import Form

if TYPE_CHECKING:
    from sporeproof.confusion.suspected import Suspected


@rule("safety.unlisted-confusion", "error", "warning", per="suspects", released=True)
def find(suspected: Suspected, form: Form) -> Iterator[Problem]:
    """Yield for an edible entry one problem for what is grave, one for what is thin, one for what only looks alike."""
    if not suspected.unanswered:
        return
    name, at = suspected.entry.name, confusions_at(suspected.entry)
    bare, thin = suspected.bare & suspected.suspects.deadly, suspected.thin & suspected.alike
    grave = suspected.unanswered & (bare | thin & suspected.suspects.dangerous)
    milder = suspected.unanswered & suspected.thin & ~grave
    alike = suspected.unanswered & ~suspected.thin
    for level, bits in ((Level.ERROR, grave), (Level.WARNING, milder)):
        if bits:
            by_none, by_one = named(suspected, bits & suspected.bare), named(suspected, bits & ~suspected.bare)
            told = [f"by nothing: {by_none}"] * bool(by_none) + [f"by one thing: {by_one}"] * bool(by_one)
            yield Problem(at, f"In the field {name} is told apart {'; '.join(told)}; nobody lists them.", MEND, level)
    if alike:
        message = f"Nobody lists what looks like {name}, though two things or more tell it apart: "
        yield Problem(at, f"{message}{named(suspected, alike)}.", MEND, Level.WARNING)


MEND = (
    "Compare each with `sporeproof compare`; then list it under `confusions` of either entry, or say under "
    "`not_confused_with` of the edible one why nobody takes one for the other."
)
