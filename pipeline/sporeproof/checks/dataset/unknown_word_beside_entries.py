"""A file beside the entries uses a word that its vocabulary does not hold.

## Why
A misspelt territory or act protects nothing, and a misspelt kind of source weighs nothing.

## Mend
Write a word of the vocabulary; `sporeproof explain` and the editor list them.

## Wrong
```yaml dataset/protections.yaml
- instrument: Wildlife and Countryside Act 1981
  name_as_listed: Hericium erinaceum
  territories: [UK]
  acts: [pick]
  source: from-memory
```

## Right
```yaml dataset/protections.yaml
- instrument: Wildlife and Countryside Act 1981
  name_as_listed: Hericium erinaceum
  territories: [GB-ENG, GB-WLS, GB-SCT]
  acts: [pick]
  source: from-memory
```

## Source
ISO 3166 for territories; for the rest common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.form.shapes import words
from sporeproof.text.nearest import did_you_mean


@rule("dataset.unknown-word-beside-entries", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each unknown word in sources, protections, retired ids and package words."""
    for name, companion in whole.companions.items():
        for path, word, vocabulary, _ in words(form.companions.keys[name], companion.value):
            known = form.vocabularies[vocabulary]
            if word not in known:
                yield Problem(
                    at=companion.at(*path),
                    message=f"`{word}` is none of the {vocabulary} that the schema knows.",
                    mend=did_you_mean(word, known) or f"Write one of {', '.join(known)}.",
                )
