"""Two entries lead to one accepted taxon.

## Why
Two verdicts on one taxon: whoever finds the milder one eats by it.

## Mend
If they are one, keep one entry with the more dangerous verdict and let the id of the other lead to it in
`retired.yaml`: `sporeproof names apply --accept "Old name=New name" --since VERSION` does it once the one that
stays says all that the other warns of. If they are two, excuse this with the reason.

## Wrong
```yaml
id: F9001
name: Galerina marginata
```
```yaml
id: F9002
name: Galerina autumnalis
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina autumnalis,,renamed,Galerina marginata,,live,,,,,,,2026-11-25
```

## Right
```yaml
id: F9001
name: Galerina marginata
former_names: [Galerina autumnalis]
```
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Galerina autumnalis,,renamed,Galerina marginata,,live,,,,,,,2026-11-25
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Level, Problem
from sporeproof.form.load import Form
from sporeproof.names.outcome import MERGED, RENAMED, Use, is_unconfirmed
from sporeproof.tables.resolve import spelled


@rule("name.merged", "error", "warning", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield a problem on each of several entries whose current names lead to one taxon."""
    together: dict[str, list[Use]] = defaultdict(list)
    for use in whole.uses:
        if use.is_current:
            together[_leads_to(use)].append(use)
    for found in together.values():
        moved = [use.outcome.answer for use in found if use.outcome.outcome in MOVED and use.outcome.answer]
        sure = [answer for answer in moved if not is_unconfirmed(answer, form)]
        for use in found if moved and len(found) > 1 else ():
            others = " and ".join(each.entry.name for each in found if each is not use)
            yield Problem(
                at=use.at,
                message=f"{use.entry.name} and {others} lead to one taxon, {moved[0].accepted_name}.",
                mend="Keep one entry with the more dangerous verdict and retire the other, with "
                "`sporeproof names apply --accept`; or excuse this with the reason.",
                level=None if sure else Level.WARNING,
            )


MOVED = frozenset({RENAMED, MERGED})


def _leads_to(use: Use) -> str:
    """The entry that bears the accepted name, or that name itself where no entry does."""
    answer = use.outcome.answer
    if answer is None or use.outcome.outcome not in MOVED or not answer.accepted_name:
        return use.entry.file
    return use.accepted.one.file if use.accepted.one else spelled(answer.accepted_name)
