"""The answers leave open which taxon a name means.

## Why
Under a name that can mean several taxa, somebody reads the entry of one and holds another.

## Mend
Give the authorship, which tells names of one spelling apart, or choose one of the names told with
`sporeproof names apply --accept "OLD=NEW"`. If it stays open, say so in a comment and excuse this.

## Wrong
```yaml
id: F9001
name: Boletus badius
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Boletus badius,,homonym,,,live,,,,,,,2026-11-25
```

## Right
```yaml
id: F9001
name: Boletus badius
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Boletus badius,,current,Boletus badius,,live,,,,,,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.names.choices import offers
from sporeproof.names.outcome import CURRENT, MERGED, RENAMED, RESPELLED, UNASKED, UNKNOWN, Use


@rule("name.unsettled", "warning", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem where the outcome settles nothing; an unknown former name is as it should be."""
    outcome = use.outcome.outcome
    if (
        outcome in SETTLED
        or outcome not in form.vocabularies["outcomes"]
        or (outcome == UNKNOWN and not use.is_current)
    ):
        return
    told = sorted({each.whole for each in offers(use, form)})
    listed = f" Named are {', '.join(told)}." if told else ""
    yield Problem(
        at=use.at,
        message=f"{use.name.name}: {form.vocabularies['outcomes'][outcome].definition}{listed}",
        mend="Give the authorship if it is missing, or choose with `sporeproof names apply --accept`; "
        "if it stays open, excuse this with the reason.",
    )


# What has a rule of its own, or needs none.
SETTLED = frozenset({CURRENT, RENAMED, RESPELLED, MERGED, UNASKED})
