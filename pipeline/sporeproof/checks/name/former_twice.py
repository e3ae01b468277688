"""A former name stands in two entries, or is another entry's current name.

## Why
Who looks the name up is led to one of two taxa, and nothing says to which.

## Mend
Give each its own authorship, since the same words can name two taxa. If one entry never bore the name, take
it out there; if it bore it by mistake, give it the kind `misapplied`.

## Wrong
```yaml
id: F9001
name: Imleria badia
former_names: [Boletus badius]
```
```yaml
id: F9002
name: Picipes badius
former_names: [Boletus badius]
```

## Right
```yaml
id: F9001
name: Imleria badia
former_names: [{name: Boletus badius, authorship: (Fr.) Fr.}]
```
```yaml
id: F9002
name: Picipes badius
former_names: [{name: Boletus badius, authorship: Pers.}]
```

## Source
ICNafp Art. 53 (homonyms), from memory
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.answers import same_authors
from sporeproof.records.entry import Entry, Name
from sporeproof.tables.resolve import spelled


@rule("name.former-twice", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each former name that another entry bears too, where authors do not part the two."""
    borne: dict[str, list[tuple[Entry, Name]]] = defaultdict(list)
    for entry in whole.entries:
        for name in entry.names():
            borne[spelled(name.name)].append((entry, name))
    for bearers in borne.values():
        for entry, name in bearers:
            others = [other for other, its in bearers if other is not entry and _collide(name, its, form)]
            if name.role != "current" and others:
                yield Problem(
                    at=entry.at(*name.path),
                    message=f"{name.name} is a former name of {entry.name}, and a name of {others[0].name} as well.",
                    mend="Give each its authorship, or take the name out where it does not belong.",
                )


def _collide(name: Name, its: Name, form: Form) -> bool:
    """A current name of another entry leaves room only for one that was used by mistake."""
    if its.role == "current":
        return not form.flagged("name-roles", name.role, "misapplied")
    return same_authors(name.authorship, its.authorship)
