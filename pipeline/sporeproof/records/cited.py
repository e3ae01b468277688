"""Finds every source that an entry, or a file beside the entries, cites."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sporeproof.records.entry import Step

# The keys under which source ids stand, wherever they are met.
CITING = ("source", "recalls")
# The key of an entry under which each part names its default sources.
DEFAULTS = "sources"


def cited(value: Any, path: tuple[Step, ...] = ()) -> Iterator[tuple[tuple[Step, ...], str]]:
    """Yield path and id of each source below a value, recalled ones too."""
    if isinstance(value, dict):
        for key, below in value.items():
            if not isinstance(below, dict | list) and key not in CITING:
                continue
            ids = _ids(below, (*path, key)) if key in CITING or path == (DEFAULTS,) else None
            yield from cited(below, (*path, key)) if ids is None else ids
    elif isinstance(value, list):
        for index, below in enumerate(value):
            if isinstance(below, dict | list):
                yield from cited(below, (*path, index))


def _ids(raw: Any, path: tuple[Step, ...]) -> Iterator[tuple[tuple[Step, ...], str]]:
    if isinstance(raw, str):
        yield path, raw
    elif isinstance(raw, list):
        for index, each in enumerate(raw):
            yield from _ids(each, (*path, index))
    elif isinstance(raw, dict):
        for key in CITING:
            if key in raw:
                yield from _ids(raw[key], (*path, key))
