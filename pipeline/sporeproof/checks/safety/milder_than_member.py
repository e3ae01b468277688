"""A genus or species group is milder than one of its members.

## Why
Who knows only the group may hold any of its members, the worst one included.

## Mend
Give the group the most cautious verdict of its members. If it is eaten, let it carry every need and caution
of theirs.

## Wrong
```yaml
id: F9001
name: Armillaria mellea group
rank: species-group
members: [Armillaria mellea]
edibility: {verdict: edible-with-conditions}
```
```yaml
id: F9002
name: Armillaria mellea
edibility: {verdict: disputed}
```

## Right
```yaml
id: F9001
name: Armillaria mellea group
rank: species-group
members: [Armillaria mellea]
edibility: {verdict: disputed}
```
```yaml
id: F9002
name: Armillaria mellea
edibility: {verdict: disputed}
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


@rule("safety.milder-than-member", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each member with a stricter verdict, or whose needs and cautions an eaten group lacks."""
    for index, word in enumerate(entry.members):
        for member in checklist.find(word).entries:
            stricter = form.is_stricter(member.verdict, entry.verdict)
            missing = _missing(entry, member) if form.is_edible(entry.verdict) and not stricter else []
            if stricter:
                says, mend = f"is called {member.verdict}", f"Let the verdict be {member.verdict}."
            elif missing:
                listed = ", ".join(f"`{each}`" for each in missing)
                says, mend = f"carries {listed}, which is missing here", f"Add {listed}."
            else:
                continue
            yield Problem(
                at=entry.at("members", index),
                message=f"{entry.name} is called {entry.verdict}, but its member {member.name} {says}.",
                mend=mend,
            )


def _missing(entry: Entry, member: Entry) -> list[str]:
    needs = [each for each in member.needs if each not in entry.needs]
    return needs + [each for each in member.cautions if each not in entry.cautions]
