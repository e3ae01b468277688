"""The recorded traits give an edible taxon a better grade than its entry allows.

## Why
Somebody knows a reason why the taxon asks for more skill than its traits say. The limit holds, and the lower grade is
published; but the traits lack what that person knows, and every other comparison rests on them too.

## Mend
Record what makes it harder: states that its suspects can show and that are missing, a suspect that has no entry, what
people report in place of what is there. If the reason is none of these, leave the limit as it is.

## Wrong
```yaml schema/suspects.yaml
surface: hymenophore
suspects: {}
```
```yaml
id: F9001
name: Hydnum repandum
edibility:
  verdict: edible
  grade_at_most: {is: specialist, because: Spines break off., source: common-practice}
characters: {body: cap-and-stem, hymenophore: spines, volva: none}
```
```yaml
id: F9002
name: Ramaria formosa
edibility: {verdict: poisonous}
characters: {body: coral, hymenophore: pores}
```

## Right
```yaml schema/suspects.yaml
surface: hymenophore
suspects: {}
```
```yaml
id: F9001
name: Hydnum repandum
edibility:
  verdict: edible
  grade_at_most: {is: specialist, because: Spines break off., source: common-practice}
characters: {body: cap-and-stem, hymenophore: [spines, smooth], volva: none}
```
```yaml
id: F9002
name: Ramaria formosa
edibility: {verdict: poisonous}
characters: {body: [coral, cap-and-stem], hymenophore: smooth}
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
    from sporeproof.confusion.proof import Proof


@rule("safety.grade-above-limit", "notice", per="proof")
def find(proof: Proof, form: Form) -> Iterator[Problem]:
    """Yield one problem where the grade by the traits alone is above the one that the entry allows."""
    limit = (proof.entry.edibility.get("grade_at_most") or {}).get("is")
    grades = list(form.vocabularies["grades"])
    if limit in grades and grades.index(proof.by_traits) > grades.index(limit):
        yield Problem(
            at=proof.entry.at("edibility", "grade_at_most", "is"),
            message=f"By its traits alone {proof.entry.name} would be `{proof.by_traits}`; the entry allows `{limit}` "
            "at most, which is what is published.",
            mend="Record what the traits lack of the reason that is given; if they lack nothing, leave it.",
        )
