"""What a file of a received wheel says otherwise than it should, in words. Nothing of it is run or imported."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from email.parser import BytesHeaderParser
from typing import Any

from sporeproof.findings import plain
from sporeproof.release.formats.wheel_parts.described import recorded

LONGEST = 60


def other_json(found: bytes, wanted: bytes) -> str:
    """Return where two JSON texts part; the first place is enough."""
    try:
        there = dict(_leaves(json.loads(found)))
    except (ValueError, RecursionError) as error:
        return f"cannot be read as JSON ({_shown(error)})"
    ours = dict(_leaves(json.loads(wanted)))
    for at, value in ours.items():
        if at not in there:
            return f"lacks {at}, which the tables say is {_shown(value)}"
        if not _same(there[at], value):
            return f"says at {at} {_shown(there[at])} where the tables say {_shown(value)}"
    added = next((at for at in there if at not in ours), None)
    return f"adds {_shown(added)}, which the tables do not hold" if added else "holds the same facts, written otherwise"


def other_heads(found: bytes, wanted: bytes) -> str:
    """Return which header two texts in the form of electronic mail do not have alike, or that it is the page below."""
    there, ours = (BytesHeaderParser().parsebytes(text) for text in (found, wanted))
    for name in dict.fromkeys([*ours.keys(), *there.keys()]):
        one, other = there.get_all(name, []), ours.get_all(name, [])
        if list(map(str, one)) != list(map(str, other)):
            return f"says {_shown(name)} {_shown(one)} where a release says {_shown(other)}"
    return "holds another page than a release does"


def untrue(record: bytes, members: Mapping[str, bytes], path: str) -> Iterator[str]:
    """Yield which files RECORD has untrue, lacks or adds; ``members`` are the files that stand there."""
    lines = {line.partition(",")[0]: line for line in record.decode("utf-8", "replace").splitlines()}
    for name, data in members.items():
        if lines.pop(name, "") != (f"{name},," if name == path else recorded(name, data)):
            yield f"does not tell the truth of {name}"
    yield from (f"lists {_shown(name)}, which does not belong there" for name in lines)


def _leaves(value: Any, at: str = "") -> Iterator[tuple[str, Any]]:
    """Yield each place in a value that holds no other, and what stands there."""
    if isinstance(value, dict) and value:
        for key, each in value.items():
            yield from _leaves(each, f"{at}/{key}")
    elif isinstance(value, list) and value:
        for number, each in enumerate(value):
            yield from _leaves(each, f"{at}/{number}")
    else:
        yield at or "/", value


def _same(one: Any, other: Any) -> bool:
    return type(one) is type(other) and bool(one == other)


def _shown(value: object) -> str:
    text = plain(str(value))
    return f"`{text[:LONGEST]}`" if text else "nothing"
