"""An opinion is more cautious than the verdict.

## Why
Where sources disagree, the most cautious one wins: a mild verdict beside a grave opinion lets somebody eat
what a source warns of.

## Mend
Make the verdict as cautious as the opinion. If the opinion is misread, put it right; it is not deleted to
suit the verdict.

## Wrong
```yaml
id: F9001
name: Armillaria mellea
edibility:
  verdict: edible-with-conditions
  opinions:
    - {verdict: edible-with-conditions, source: common-practice}
    - {verdict: poisonous, source: from-memory}
```

## Right
```yaml
id: F9001
name: Armillaria mellea
edibility:
  verdict: poisonous
  opinions:
    - {verdict: edible-with-conditions, source: common-practice}
    - {verdict: poisonous, source: from-memory}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("safety.opinion-stricter-than-verdict", "error", per="entry", released=True)
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each opinion that is more cautious than the verdict."""
    if entry.verdict not in form.vocabularies["verdicts"]:
        return
    for index, each in enumerate(entry.opinions):
        opinion = each.get("verdict", "")
        if form.is_stricter(opinion, entry.verdict):
            yield Problem(
                at=entry.at("edibility", "opinions", index, "verdict"),
                message=f"{entry.name} is called {entry.verdict}, but "
                f"{each.get('source', 'an opinion')} says {opinion}.",
                mend=f"Let the verdict be {opinion}, the more cautious of the two.",
            )
