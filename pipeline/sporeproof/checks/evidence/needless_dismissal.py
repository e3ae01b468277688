"""A taxon is dismissed that nobody asked about.

## Why
An answer under `not_confused_with` belongs to a pair that the traits call easily confused. Where they do not, the
answer says nothing, grows old unread, and would hide the pair from the day on which somebody widens a value.

## Mend
Delete the answer. If the pair is worth a warning to readers, list it under `confusions`.

## Wrong
```yaml
id: F9001
name: Hydnum repandum
edibility: {verdict: edible}
characters: {hymenophore: spines}
not_confused_with: [{with: Fomes fomentarius, because: It has pores., source: common-practice}]
```
```yaml
id: F9002
name: Fomes fomentarius
edibility: {verdict: inedible}
characters: {hymenophore: pores}
```

## Right
```yaml
id: F9001
name: Hydnum repandum
edibility: {verdict: edible}
characters: {hymenophore: spines}
```
```yaml
id: F9002
name: Fomes fomentarius
edibility: {verdict: inedible}
characters: {hymenophore: pores}
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


@rule("evidence.needless-dismissal", "warning", per="suspects")
def find(suspected: Suspected, form: Form) -> Iterator[Problem]:
    """Yield one problem for each answer about a taxon that is no suspect, or neither thinly told apart nor alike."""
    for index, other in suspected.answers if suspected.is_whole else ():
        if not suspected.computed & suspected.suspects.bits([other]):
            yield Problem(
                at=suspected.entry.at("not_confused_with", index, "with"),
                message=f"Nothing asks {suspected.entry.name} about {other.name}: it is no suspect, or well told apart "
                "and unlike.",
                mend="Delete this answer; to warn readers of the pair, list it under `confusions`.",
            )
