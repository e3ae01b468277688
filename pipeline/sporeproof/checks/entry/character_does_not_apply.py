"""A character is recorded of a fruitbody that cannot have it.

## Why
Gills of a puffball are a slip: either the value or the character that rules it out is wrong, and both decide
what the fungus can be taken for.

## Mend
Correct the one that is wrong. "Does not apply" is never written down; it follows from the catalogue.

## Wrong
```yaml
name: Lycoperdon perlatum
characters:
  body: ball
  ring: absent
```

## Right
```yaml
name: Lycoperdon perlatum
characters:
  body: ball
  ball-surface: warted
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sporeproof.checks.registry import rule
from sporeproof.confusion.appearance import APPEARANCE_TABLES, NOT_APPLICABLE, Appearance, traits_of
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.build import Facts, build
from sporeproof.tables.resolve import Checklist


@rule("entry.character-does-not-apply", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each recorded character that does not apply."""
    facts = Facts(Checklist([entry]), form, {}, [])
    traits = traits_of(build(facts, APPEARANCE_TABLES), form).get(entry.key)
    if traits is None:
        return
    looks = Appearance(traits, form)
    for id in entry.characters:
        if id not in form.characters or looks.shown(form.characters[id]).status != NOT_APPLICABLE.status:
            continue
        controller, states = form.characters[id].applies_if or ("", frozenset())
        yield Problem(
            at=entry.at_key("characters", id),
            message=f"{entry.name} records {id}, which needs {controller} to be {_either(states)}.",
            mend=f"Delete {id}, or correct {controller}.",
        )


def _either(states: Iterable[str]) -> str:
    return " or ".join(sorted(states))
