"""Inspects the merges in a journal, which may come from a stranger: no entry may go unless nothing that warns does."""

from __future__ import annotations

from typing import Any

from sporeproof.form.load import Form
from sporeproof.names.merge import LEADING, RETIRED, lacking, words_for
from sporeproof.names.planned import Step
from sporeproof.records.entry import Entry
from sporeproof.records.read import reading_of
from sporeproof.tables.resolve import spelled
from sporeproof.text.read import plain, read_page

SAID = {"was", "replaced_by", "since", "because"}


def unions(steps: list[Step], form: Form) -> dict[str, str] | str:
    """Return by what each entry that goes was referred to, and by what its successor is; or why it may not go."""
    ended = [step for step in steps if step.file == RETIRED]
    going = [step for step in steps if not step.file]
    if len(ended) != 1 or not going or any(step.after for step in going):
        return "an entry would go without a word where its id leads, or an id would end and no entry go"
    before, after = _ended(ended[0].before), _ended(ended[0].after)
    staying = {entry.id: (entry, step) for step in steps if step.file != RETIRED and (entry := _entry(step, form))}
    renamed: dict[str, str] = {}
    successor: dict[str, str] = {}
    for step in going:
        gone, said = _entry(step, form), after.get(_id(step, form))
        if gone is None or gone.id in before or gone.id in successor or not (id := _successor(said, gone)):
            return f"{step.was} would go, and its id would not lead to what stands in its place"
        if id not in staying:
            return f"{step.was} would go, and what it leads to is not part of this"
        kept, its = staying[id]
        if why := _lost(gone, kept, its, form):
            return why
        new = _name(its)
        renamed |= dict.fromkeys((spelled(gone.name), gone.stem), new) | {gone.id: kept.id}
        successor[gone.id] = kept.id
        dismissed = (spelled(str(each["with"])) for other, _ in staying.values() for each in other.dismissed)
        if any(word in words_for(gone) for word in dismissed):
            return f"an entry answers for {gone.name}, and would answer for {kept.name} unasked"
    if not _only_led(before, after, successor):
        return f"more than that would change in {RETIRED}"
    return renamed


def _lost(gone: Entry, kept: Entry, its: Step, form: Form) -> str:
    if not its.file or kept is gone:
        return f"{gone.file} would go into an entry that goes itself"
    if step := next(lacking(gone, kept, form), ""):
        return f"with {gone.file} something would be lost that warns ({step.rstrip('.')})"
    after = reading_of(read_page(its.after, its.file), form.entry).entry
    there = {spelled(each.name) for each in after.names()} if after else set()
    if any(spelled(each.name) not in there for each in gone.names()):
        return f"a name of {gone.name} would be lost"
    return ""


def _entry(step: Step, form: Form) -> Entry | None:
    """Return the entry that stood before a step, None where it cannot be read whole."""
    entry = reading_of(read_page(step.before, step.was), form.entry).entry
    return entry if entry is not None and entry.sound else None


def _id(step: Step, form: Form) -> str:
    entry = _entry(step, form)
    return entry.id if entry else ""


def _name(step: Step) -> str:
    value = plain(read_page(step.after, step.file).root)
    return str(value.get("name", "")) if isinstance(value, dict) else ""


def _successor(said: Any, gone: Entry) -> str:
    """Return the one id that an ended id leads to; empty where it says anything else."""
    if not isinstance(said, dict) or said.keys() != SAID or said["was"] != gone.name:
        return ""
    led = said["replaced_by"]
    is_one = isinstance(led, list) and len(led) == 1 and isinstance(led[0], str) and led[0] != gone.id
    return str(led[0]) if is_one else ""


def _ended(data: bytes) -> dict[str, Any]:
    value = plain(read_page(data, RETIRED).root) if data.strip() else {}
    return value if isinstance(value, dict) else {}


def _only_led(before: dict[str, Any], after: dict[str, Any], successor: dict[str, str]) -> bool:
    """Tell whether ended ids are new only where entries go, and the others changed only where they led to those."""
    if after.keys() - before.keys() != successor.keys() or before.keys() - after.keys():
        return False
    return all(repr(_led_on(each, successor)) == repr(after[id]) for id, each in before.items())


def _led_on(each: Any, successor: dict[str, str]) -> Any:
    if not isinstance(each, dict):
        return each
    return {
        key: [successor.get(str(word), word) for word in below] if key in LEADING and isinstance(below, list) else below
        for key, below in each.items()
    }
