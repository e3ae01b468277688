"""A checklist holds a former name as a synonym of another taxon.

## Why
Who looks the old name up is led to this entry, and may hold the other taxon.

## Mend
Take the former name out, or give it the kind `misapplied` if it was used for this taxon by mistake. If the
name that the checklist accepts is this taxon's as well, list it among the former names.

## Wrong
```yaml
id: F9001
name: Imleria badia
former_names: [Boletus badius]
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Boletus badius,,renamed,Picipes badius,,registry-taxonomy,,,,,,,2026-11-25
```

## Right
```yaml
id: F9001
name: Imleria badia
former_names: [{name: Boletus badius, authorship: (Fr.) Fr., kind: misapplied}]
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Boletus badius,,renamed,Picipes badius,,registry-taxonomy,,,,,,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Level, Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import RENAMED, Use, is_unconfirmed


@rule("name.former-leads-elsewhere", "error", "warning", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem where a former name's accepted name is none that the entry bears."""
    answer = use.outcome.answer
    if use.is_current or answer is None or use.outcome.outcome != RENAMED or use.leads_home:
        return
    if form.flagged("name-roles", use.name.role, "misapplied"):
        return
    unsure = is_unconfirmed(answer, form)
    where = ", ".join(f"the entry {each.name}" for each in use.accepted.entries) or "no name of this entry"
    yield Problem(
        at=use.at,
        message=f"{use.name.name} is listed under {use.entry.name}, but it leads to "
        f"{answer.accepted_name or 'another taxon'}, {where}"
        + (", by general knowledge; no checklist has confirmed it." if unsure else "."),
        mend="Take it out, or give it the kind for a name used by mistake; or list the accepted name as a former one.",
        level=Level.WARNING if unsure else None,
    )
