"""A file and the name in it disagree.

## Why
People and programs find an entry by its file. Under another name it is read late, twice or not at all.

## Mend
Name the file after the taxon, in small letters with hyphens: `genus-epithet`, `genus-epithet-var-epithet`,
`genus-epithet-group` or `genus`, without the hybrid sign and accents.

## Wrong
```yaml
# file: amanita-virosa.yaml
id: F9001
name: Amanita phalloides
```

## Right
```yaml
# file: amanita-phalloides.yaml
id: F9001
name: Amanita phalloides
```

## Source
common practice, no source
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist, stem_of


@rule("entry.file-name-differs", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem where the file should be called otherwise."""
    if "name" not in entry.value or entry.stem == (wanted := _stem(entry)):
        return
    yield Problem(
        at=entry.at("name"),
        message=f"{entry.name} stands in a file called {entry.stem}.yaml.",
        mend=f"Call the file {wanted}.yaml, or correct the name.",
    )


def _stem(entry: Entry) -> str:
    """Return the stem that the name asks for; a species group says so at its end, unlike the species."""
    plain = unicodedata.normalize("NFKD", entry.name).encode("ascii", "ignore").decode()
    stem, suffix = stem_of(plain), entry.rank.partition("-")[2]
    return f"{stem}-{suffix}" if suffix and not stem.endswith(f"-{suffix}") else stem
