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
from sporeproof.confusion.appearance import NOT_APPLICABLE, appearance_of
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist


@rule("entry.character-does-not-apply", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each recorded character that does not apply."""
    for id in entry.characters:
        character = form.characters.get(id)
        if character is None or character.applies_if is None or _plainly_applies(entry, *character.applies_if):
            continue
        if appearance_of(entry, form).shown(character) is NOT_APPLICABLE:
            controller, states = character.applies_if
            yield Problem(
                at=entry.at_key("characters", id),
                message=f"{entry.name} records {id}, which only a fungus has whose {controller} is {_either(states)}.",
                mend=f"Delete {id}, or correct {controller}.",
            )


def _plainly_applies(entry: Entry, controller: str, states: frozenset[str]) -> bool:
    """Spare most entries the comparison: a controlling state that is recorded settles it.

    Where the controlling character does not apply itself, the mistake is found there.
    """
    value = entry.characters.get(controller)
    return value is not None and any(not states.isdisjoint(given) for given in value.by_stage.values())


def _either(states: Iterable[str]) -> str:
    return " or ".join(sorted(states))
