"""A checklist holds the current name as a synonym of another one.

## Why
Books, apps and people move on to the other name, and then nobody finds the entry, or what it warns of.

## Mend
`sporeproof names apply` changes the name, keeps the old one as a former name, and follows every link. Where
this checklist is knowingly not followed, excuse the finding with the reason.

## Wrong
```yaml
id: F9001
name: Boletus regius
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Boletus regius,,renamed,Butyriboletus regius,,registry-taxonomy,,,388852,388852,EXACT,,2026-11-25
```

## Right
```yaml
id: F9001
name: Butyriboletus regius
former_names: [Boletus regius]
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Boletus regius,,renamed,Butyriboletus regius,,registry-taxonomy,,,388852,388852,EXACT,,2026-11-25
```

## Source
ICNafp Art. 11 (one correct name), from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Level, Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import RENAMED, Use, is_unconfirmed


@rule("name.stale-current-name", "error", "warning", per="name")
def find(use: Use, form: Form) -> Iterator[Problem]:
    """Yield one problem where the answer that speaks calls a current name a synonym."""
    answer = use.outcome.answer
    if not use.is_current or answer is None or use.outcome.outcome != RENAMED:
        return
    unsure = is_unconfirmed(answer, form)
    today = answer.accepted_name or "another name, which the answer leaves out"
    yield Problem(
        at=use.at,
        message=f"{use.name.name} is called {today} today"
        + (
            ", by general knowledge; no checklist has confirmed it."
            if unsure
            else f", says {answer.checklist_title or answer.obtained}."
        ),
        mend="Run `sporeproof names apply"
        + (" --unconfirmed" if unsure else "")
        + "`, or excuse this with the reason.",
        level=Level.WARNING if unsure else None,
    )
