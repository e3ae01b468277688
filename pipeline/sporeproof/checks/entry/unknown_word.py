"""A word is not in its vocabulary.

## Why
Rules, releases and readers act on the words of the vocabularies. One that is not in them protects nobody.

## Mend
Use a word of the list in `schema/vocabularies/`. If none fits, propose a new one there, with its definition.

## Wrong
```yaml
name: Amanita phalloides
edibility:
  verdict: deadly
  cautions: [for-begginers]
```

## Right
```yaml
name: Amanita phalloides
edibility:
  verdict: deadly
  cautions: [not-for-beginners]
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.form.shapes import words
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist
from sporeproof.text.nearest import did_you_mean


@rule("entry.unknown-word", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each word that its vocabulary does not hold."""
    for path, word, vocabulary, is_key in words(form.entry, entry.value):
        known = form.vocabularies[vocabulary]
        if word not in known:
            yield Problem(
                at=entry.at_key(*path) if is_key else entry.at(*path),
                message=f"{entry.name} says `{word}`, which is none of the {vocabulary.replace('-', ' ')}.",
                mend=did_you_mean(word, known) or f"Use a word of schema/vocabularies/{vocabulary}.yaml.",
            )
