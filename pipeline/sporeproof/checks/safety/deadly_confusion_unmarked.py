"""An edible entry is taken for a deadly one, and its cautions do not say so.

## Why
People read the cautions and not the list of confusions. This one caution has to stand wherever a mistake can
kill.

## Mend
Add the caution `deadly-confusion`. It is due whichever of the two entries lists the other.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible, cautions: [raw-upsets]}
confusions: [{with: Galerina marginata}]
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible, cautions: [raw-upsets, deadly-confusion]}
confusions: [{with: Galerina marginata}]
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
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


@rule("safety.deadly-confusion-unmarked", "error", per="entry", released=True)
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each deadly taxon that an edible one is taken for, by either's list, without saying so."""
    seen: set[tuple[str, str]] = set()
    for other in _listed(entry, checklist):
        for eaten, deadly in ((entry, other), (other, entry)):
            if not form.is_edible(eaten.verdict) or not form.is_deadly(deadly.verdict):
                continue
            if _is_marked(eaten, form) or (eaten.file, deadly.file) in seen:
                continue
            if eaten is other and entry in _listed(eaten, checklist):
                continue  # found when the edible entry is looked at
            seen.add((eaten.file, deadly.file))
            yield Problem(
                at=eaten.at("edibility", "verdict"),
                message=f"{eaten.name} can be taken for {deadly.name}, which is {deadly.verdict}; no caution says so.",
                mend=f"Add `{form.cautions_flagged(MARK)[0]}` to the cautions of {eaten.name}.",
            )


# The flag of the caution that says so.
MARK = "marks-deadly"


def _listed(entry: Entry, checklist: Checklist) -> list[Entry]:
    """A name that may mean several entries counts for each of them."""
    return [other for _, _, link in checklist.linked(entry) for other in link.entries]


def _is_marked(entry: Entry, form: Form) -> bool:
    return any(each in entry.cautions for each in form.cautions_flagged(MARK))
