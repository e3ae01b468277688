"""What changed in the promise to programs: the tables, columns, types and keys of two editions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sporeproof.release.changes import Change
from sporeproof.release.strictness import Kind

Schemas = dict[str, dict[str, Any]]

# What the schema files say for this house alone (strictness.py), and what a resource says for its schema.
OURS = frozenset({"change", "title", "description"})
WORDS = ("title", "description")
# A vocabulary that grows is told word by word by the table of terms.
GROWING = ("enum", "pattern")


def published(schema: dict[str, Any]) -> dict[str, Any]:
    """Return a table schema as it goes out: Table Schema's own words, nothing of this house."""
    fields = [{key: value for key, value in each.items() if key != "change"} for each in schema["fields"]]
    return {**{key: value for key, value in schema.items() if key not in OURS}, "fields": fields}


def contract_changes(old: Schemas, new: Schemas) -> list[Change]:
    """Return the changes of the schemas, both as they were published."""
    found = [Change(Kind.MEANING, name, "the table is gone") for name in sorted(old.keys() - new.keys())]
    found += [Change(Kind.VALUES, name, "the table is new") for name in sorted(new.keys() - old.keys())]
    for name in sorted(old.keys() & new.keys()):
        found += [Change(kind, name, text) for kind, text in _of_schema(old[name], new[name])]
    return found


def _of_schema(old: dict[str, Any], new: dict[str, Any]) -> Iterator[tuple[Kind, str]]:
    before, after = ({each["name"]: each for each in schema["fields"]} for schema in (old, new))
    for name in before:
        if name not in after:
            yield Kind.MEANING, f"the column {name} is gone"
    for name in after:
        if name not in before:
            yield Kind.VALUES, f"the column {name} is new"
    shared = [name for name in before if name in after]
    if shared != [name for name in after if name in before]:
        yield Kind.MEANING, "the columns stand in another order"
    for key in ("primaryKey", "foreignKeys", "missingValues"):
        if old.get(key) != new.get(key):
            yield Kind.MEANING, f"{key} is another one"
    for name in shared:
        yield from _of_field(name, before[name], after[name])


def _of_field(name: str, old: dict[str, Any], new: dict[str, Any]) -> Iterator[tuple[Kind, str]]:
    if _meaning(old) != _meaning(new):
        yield Kind.MEANING, f"the column {name} holds other values than before"
    elif _limits(old) != _limits(new):
        yield Kind.VALUES, f"the column {name} takes other words or forms"
    if any(old.get(key) != new.get(key) for key in WORDS):
        yield Kind.WORDS, f"the column {name} is described in other words"


def _meaning(field: dict[str, Any]) -> dict[str, Any]:
    limits = {key: value for key, value in field.get("constraints", {}).items() if key not in GROWING}
    return {**{key: value for key, value in field.items() if key not in WORDS}, "constraints": limits}


def _limits(field: dict[str, Any]) -> list[Any]:
    return [field.get("constraints", {}).get(key) for key in GROWING]
