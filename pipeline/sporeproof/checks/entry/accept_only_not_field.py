"""An entry accepts by what cannot be seen in the field.

## Why
Every fruitbody is held against `accept_only` before it goes into the basket. A spore print or a microscope
speaks for one fruitbody only, and what some specimens do not have cannot be asked of all.

## Mend
Choose a character that is seen, felt or smelt on the spot and that all accepted specimens have; narrow the
character that it depends on first.

## Wrong
```yaml
name: Hydnum repandum
edibility:
  accept_only: {spore-print: [white]}
characters:
  spore-print: white
```

## Right
```yaml
name: Hydnum repandum
edibility:
  accept_only: {ring: [absent]}
characters:
  body: cap-and-stem
  ring: absent
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.recorded import accepted, in_catalogue
from sporeproof.checks.registry import rule
from sporeproof.confusion.appearance import STAGE
from sporeproof.findings import Problem
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry
from sporeproof.tables.resolve import Checklist


@rule("entry.accept-only-not-field", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each accepted character that cannot be asked of every fruitbody in the field."""
    field = next(iter(form.vocabularies["levels"]))
    for given, character in in_catalogue(accepted(entry), form):
        if form.level_of(character) != field:
            reason, mend = (
                f"which is not seen in the {field}",
                "Choose a character that is seen, felt or smelt there.",
            )
        elif loose := _loose(entry, character, form):
            reason = f"but its {loose} is not always such that there is one"
            mend = f"Record {loose}, and accept only the states of it that have this character."
        else:
            continue
        at = entry.at_key(*given.path)
        yield Problem(at=at, message=f"{entry.name} is accepted by its {given.id}, {reason}.", mend=mend)


def _loose(entry: Entry, character: Character, form: Form) -> str:
    """Return the controlling character, near or far, whose accepted states do not all allow the character."""
    while character.applies_if:
        controller, states = character.applies_if
        if not (seen := _accepted_states(entry, controller)) or seen - states:
            return controller
        character = form.characters[controller]
    return ""


def _accepted_states(entry: Entry, id: str) -> set[str | float]:
    if id not in entry.characters:
        return set()
    stages, only = entry.accept_only.get(STAGE), entry.accept_only.get(id)
    given = entry.characters[id].by_stage
    kept = [states for stage, states in given.items() if stages is None or stage == UNSTAGED or stage in stages]
    return {state for states in kept for state in states if only is None or state in only}
