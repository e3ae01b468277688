"""Where two values of JSON part, in words for whoever verifies a release."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sporeproof.findings import plain

LONGEST = 60


def other_json(found: bytes, wanted: bytes) -> str:
    """Return where two JSON texts part; the first place is enough."""
    try:
        there = json.loads(found)
    except (ValueError, RecursionError) as error:
        return f"cannot be read as JSON ({_shown(error)})"
    return other_value(there, json.loads(wanted)) or "holds the same facts, written otherwise"


def other_value(found: Any, wanted: Any) -> str:
    """Return where two values part; empty where they do not."""
    there, ours = dict(_leaves(found)), dict(_leaves(wanted))
    for at, value in ours.items():
        if at not in there:
            return f"lacks {at}, which the tables say is {_shown(value)}"
        if not _same(there[at], value):
            return f"says at {at} {_shown(there[at])} where the tables say {_shown(value)}"
    added = next((at for at in there if at not in ours), None)
    return f"adds {_shown(added)}, which the tables do not hold" if added else ""


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
