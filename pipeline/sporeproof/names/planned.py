"""What a plan of renames is made of: the names that change, those that do not and why, and the files that change."""

from __future__ import annotations

from dataclasses import dataclass, field

from sporeproof.findings import Mark
from sporeproof.names.answers import Answer
from sporeproof.records.entry import Entry


@dataclass(frozen=True, slots=True)
class Step:
    """One file of a plan: what stood in ``was`` gives way to what is to stand in ``file``, often the same.

    Where ``file`` is empty, what stood in ``was`` goes.
    """

    was: str
    file: str
    before: bytes = field(repr=False)
    after: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class Rename:
    """An entry that gets its accepted name, and what the person who asked for it should know."""

    entry: Entry
    name: str
    authorship: str
    file: str
    answer: Answer
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Refusal:
    """A rename that is not made: the entry, its name and where that stands, the accepted name, and why not.

    ``todo`` holds the steps by which a person makes it possible, or makes it by hand.
    """

    entry: Entry
    name: str
    accepted: str
    at: Mark
    reason: str
    todo: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Merge:
    """An entry that goes into another one, and what the person who asked for it should know."""

    gone: Entry
    kept: Entry
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """What is renamed, what is not, and the files that change; without steps there is nothing to do."""

    renames: list[Rename]
    refused: list[Refusal]
    steps: list[Step]
    merges: list[Merge] = field(default_factory=list)


def applied_lines(planned: Plan, *, dry_run: bool) -> list[str]:
    """Return what a plan does, or would do, in lines for a person."""
    would = "would be " if dry_run else ""
    lines = [f"{each.entry.name} {would}renamed to {each.name}: {each.file}" for each in planned.renames]
    lines += [f"{each.gone.name} {would}merged into {each.kept.name}: {each.kept.file}" for each in planned.merges]
    notes = [*(each.notes for each in planned.renames), *(each.notes for each in planned.merges)]
    lines += [f"  {note}" for each in notes for note in each]
    moved = {each.file for each in planned.renames} | {each.kept.file for each in planned.merges}
    touched = [step.file for step in planned.steps if step.was == step.file]
    lines += [f"  links followed in {file}" for file in touched if file not in moved]
    for refused in planned.refused:
        lines.append(f"{refused.name} is not renamed: {refused.reason}")
        lines += [f"  {number}. {each}" for number, each in enumerate(refused.todo, 1)]
    return lines or ["No name needs to change."]
