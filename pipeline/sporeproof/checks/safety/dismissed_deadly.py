"""A deadly taxon is answered away, and nothing in the field tells it apart.

## Why
Whoever wrote the answer was sure that nobody would take one for the other. By what is recorded nothing that can be
seen in the field would stop them, and the other one kills.

## Mend
Move it to `confusions`, with what warns of it as a hint. If something does tell the two apart, record it in both
entries; then the answer may stand.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {hymenophore: gills, ring: present}
not_confused_with: [{with: Galerina marginata, because: The scales., source: common-practice}]
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {hymenophore: gills, ring: present}
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {hymenophore: gills, ring: present}
confusions: [{with: Galerina marginata, hints: [stem-surface]}]
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {hymenophore: gills, ring: present}
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


@rule("safety.dismissed-deadly", "error", per="suspects", released=True)
def find(suspected: Suspected, form: Form) -> Iterator[Problem]:
    """Yield one problem for each answer about a deadly taxon that nothing in the field tells apart."""
    fatal = suspected.bare & suspected.suspects.deadly
    for index, other in suspected.answers:
        if fatal & suspected.suspects.bits([other]):
            yield Problem(
                at=suspected.entry.at("not_confused_with", index, "with"),
                message=f"{other.name} is deadly and is answered away here, but nothing in the field tells "
                f"{suspected.entry.name} from it.",
                mend="Move it to `confusions`, or record in both entries what does tell them apart.",
            )
