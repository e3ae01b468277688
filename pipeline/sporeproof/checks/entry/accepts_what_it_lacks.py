"""An entry accepts only specimens that it does not know.

## Why
`accept_only` narrows the verdict to specimens that the entry describes. One that it does not describe is
either missing there or another fungus.

## Mend
Record the state or the sizes under `characters`, or correct `accept_only`.

## Wrong
```yaml
name: Hydnum repandum
edibility:
  accept_only: {ring: [present]}
characters:
  ring: absent
```

## Right
```yaml
name: Hydnum repandum
edibility:
  accept_only: {ring: [present]}
characters:
  ring: [present, absent]
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.recorded import Given, accepted, in_catalogue, recorded
from sporeproof.checks.registry import rule
from sporeproof.confusion.appearance import STAGE
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry
from sporeproof.tables.resolve import Checklist

States = tuple[str | float, ...]


@rule("entry.accepts-what-it-lacks", "error", per="entry")
def find(entry: Entry, checklist: Checklist, form: Form) -> Iterator[Problem]:
    """Yield one problem for each accepted state or range that the entry does not record."""
    for given, character in in_catalogue(accepted(entry), form):
        if given.is_range != character.is_measured:
            continue
        there = [each for each in recorded(entry) if each.id == given.id]
        for index, what in _lacking(given, there, entry.accept_only.get(STAGE, ())):
            yield Problem(
                at=given.at(index),
                message=f"{entry.name} accepts only {what} as {given.id}, but does not record that of it.",
                mend="Record it under `characters`, or correct `accept_only`.",
            )


def _lacking(given: Given, there: list[Given], stages: States) -> Iterator[tuple[int | None, str]]:
    """Yield position and words of what is accepted and not recorded; all of it where only the stage is."""
    now = [each for each in there if not stages or each.stage in {UNSTAGED, *stages}]
    if given.range:
        low, high = given.range
        sizes = [size for each in now if each.range for size in each.range]
        if not sizes or high < min(sizes) or max(sizes) < low:
            yield None, f"{low:g} to {high:g}"
        return
    known = {state for each in there for state in each.states}
    lacking = [(index, f"`{state}`") for index, state in enumerate(given.states) if state not in known]
    yield from lacking
    if not lacking and not any(state in each.states for each in now for state in given.states):
        yield None, f"`{'`, `'.join(map(str, given.states))}` at these stages"
