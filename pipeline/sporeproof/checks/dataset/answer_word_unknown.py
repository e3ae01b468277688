"""A recorded answer uses a word that its vocabulary does not hold.

## Why
An outcome that nobody knows settles nothing, and an answer from an unknown place would count as a
checklist's.

## Mend
Write one of the words that the schema lists for outcomes, ways of obtaining and match types.

## Wrong
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Amanita phalloides,,accepted,Amanita phalloides,,registry-taxonomy,,,67723,67723,EXACT,,2026-11-25
```

## Right
```csv dataset/names.csv
name,authorship,outcome,accepted_name,accepted_authorship,obtained,checklist_key,checklist_title,usage_key,accepted_key,match_type,confidence,checked_on
Amanita phalloides,,current,Amanita phalloides,,registry-taxonomy,,,67723,67723,EXACT,,2026-11-25
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
from sporeproof.names.answers import place_of
from sporeproof.text.nearest import did_you_mean


@rule("dataset.answer-word-unknown", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each word of a recorded answer that its vocabulary does not hold."""
    for answer in whole.answers.all():
        for column, vocabulary in VOCABULARIES.items():
            word, known = getattr(answer, column), form.vocabularies[vocabulary]
            if word not in known and (word or column in ALWAYS):
                yield Problem(
                    at=place_of(answer, column),
                    message=f"The answer on {answer.name} gives `{word}` as its {column}."
                    if word
                    else f"The answer on {answer.name} leaves its {column} empty.",
                    mend=did_you_mean(word, known) or f"Write one of {', '.join(known)}.",
                )


VOCABULARIES = {"outcome": "outcomes", "obtained": "obtained", "match_type": "match-types"}
ALWAYS = frozenset({"outcome", "obtained"})
