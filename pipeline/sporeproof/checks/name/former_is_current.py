"""A checklist holds a former name as a taxon of its own.

## Why
Some checklists keep two species where this one knows one. Who uses the old name may mean the narrower one.

## Mend
Nothing need be done if the two are held to be one here; otherwise make an entry of its own, as cautious as
this one.

## Wrong
```yaml
id: F9001
name: Galerina marginata
former_names: [Galerina autumnalis]
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina autumnalis,,current,Galerina autumnalis,,registry-taxonomy,,,157599,157599,EXACT,,2026-11-25
```

## Right
```yaml
id: F9001
name: Galerina marginata
former_names: []
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina autumnalis,,current,Galerina autumnalis,,registry-taxonomy,,,157599,157599,EXACT,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import CURRENT, Use


@rule("name.former-is-current", "notice", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem where a former name is accepted by the checklist that speaks."""
    if use.is_current or use.outcome.outcome != CURRENT or form.flagged("name-roles", use.name.role, "misapplied"):
        return
    yield Problem(
        at=use.at,
        message=f"{use.name.name} is listed as a former name of {use.entry.name}, but "
        "a checklist keeps it as a taxon of its own.",
        mend="Leave it if both are held to be one here; otherwise give it an entry of its own.",
    )
