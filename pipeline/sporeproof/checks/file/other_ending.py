"""A file among the entries is none, by its ending.

## Why
Only files that end in `.yaml` are read as entries. What is called otherwise would be left out without a word, and
somebody would believe that it was checked.

## Mend
Call an entry `genus-epithet.yaml`. Keep anything else out of this folder.

## Wrong
```yaml dataset/taxa/hydnum-repandum.yml
name: Hydnum repandum
```

## Right
```yaml dataset/taxa/hydnum-repandum.yaml
name: Hydnum repandum
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Reading


@rule("file.other-ending", "error", per="file")
def find(reading: Reading, form: Form) -> Iterator[Problem]:
    """Yield one problem for a file that would be passed over."""
    for each in reading.of("other-ending"):
        name, ending = each.words
        stem = name.partition(".")[0]
        yield Problem(
            at=each.at,
            message=f"The file {name} lies among the entries, and only what ends in `{ending}` is read as one.",
            mend=f"Call it {stem}{ending} if it is an entry; otherwise move it elsewhere.",
        )
