"""A taxon that a law protects carries no caution that says so.

## Why
Picking it can be an offence, and who reads only the entry does not know. No record of a law never means that
it is allowed.

## Mend
Add the caution `protected-by-law` to the entry.

## Wrong
```yaml
id: F9001
name: Hericium erinaceus
former_names: [Hericium erinaceum]
edibility: {verdict: edible, cautions: [scarce]}
```
```yaml dataset/protections.yaml
- instrument: Wildlife and Countryside Act 1981
  name_as_listed: Hericium erinaceum
  territories: [GB-ENG]
  acts: [pick]
  source: from-memory
```

## Right
```yaml
id: F9001
name: Hericium erinaceus
former_names: [Hericium erinaceum]
edibility: {verdict: edible, cautions: [scarce, protected-by-law]}
```
```yaml dataset/protections.yaml
- instrument: Wildlife and Countryside Act 1981
  name_as_listed: Hericium erinaceum
  territories: [GB-ENG]
  acts: [pick]
  source: from-memory
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form


@rule("safety.protected-without-caution", "error", per="dataset", released=True)
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each entry that a protection leads to and that does not say so."""
    wanted = form.cautions_flagged("protected")
    seen: set[str] = set()
    for each in whole.companions["protections"].value:
        for entry in whole.checklist.find(each.get("name_as_listed", "")).entries:
            if entry.file in seen or any(word in entry.cautions for word in wanted):
                continue
            seen.add(entry.file)
            yield Problem(
                at=entry.at("edibility", "cautions"),
                message=f"{each.get('instrument')} protects {entry.name} as "
                f"{each['name_as_listed']}; no caution says so.",
                mend=f"Add `{wanted[0]}` to its cautions.",
            )
