"""A taxon is listed as a confusion and dismissed as none.

## Why
Two readers take two things from the same entry, and one of them stops looking.

## Mend
Keep the confusion and delete the dismissal, unless you are sure that the confusion is the mistake.

## Wrong
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata}]
not_confused_with: [{with: Galerina autumnalis, because: The scales., source: common-practice}]
```
```yaml
id: F9002
name: Galerina marginata
former_names: [Galerina autumnalis]
```

## Right
```yaml
id: F9001
name: Kuehneromyces mutabilis
confusions: [{with: Galerina marginata}]
```
```yaml
id: F9002
name: Galerina marginata
former_names: [Galerina autumnalis]
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
from sporeproof.tables.resolve import Checklist, Link, spelled


@rule("safety.both-listed-and-dismissed", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each dismissed taxon that may be one of the confusions."""
    listed = {key for _, each, link in checklist.linked(entry) for key in _meant(each["with"], link)}
    for index, each in enumerate(entry.value.get("not_confused_with") or []):
        word = each.get("with", "")
        if listed & _meant(word, checklist.find(word)):
            yield Problem(
                at=entry.at("not_confused_with", index, "with"),
                message=f"{entry.name} lists {word} under `confusions` and dismisses it here.",
                mend="Delete this dismissal, unless the confusion is the mistake.",
            )


def _meant(word: str, link: Link) -> set[str]:
    """What leads nowhere still means itself."""
    return {other.file for other in link.entries} or {spelled(word)}
