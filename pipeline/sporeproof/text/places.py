"""Where things stand in a YAML text: places of parser events, and the way from a path of keys back to a place.

Places are found again when asked for instead of being kept: few values are ever pointed at, and to walk the events of
one file costs a fraction of composing it.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

import yaml

from sporeproof.findings import Mark

# What libyaml takes for the end of a line; excerpts must split where its line numbers do.
LINE_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")

# Line and column, from 0, and width in characters.
Place = tuple[int, int, int]

Step = str | int
OPENING = (yaml.MappingStartEvent, yaml.SequenceStartEvent)
CLOSING = (yaml.MappingEndEvent, yaml.SequenceEndEvent)
NOTHING = (yaml.StreamEndEvent, yaml.DocumentEndEvent)


def place_of(event: Any) -> Place:
    """Return where an event begins, and how wide it is on that line."""
    start, end = event.start_mark, event.end_mark
    width = end.column - start.column if end.line == start.line else 1
    return start.line, start.column, max(width, 1)


def place_at(text: str, index: int) -> Place:
    """Return the place of one character of a text."""
    before = LINE_BREAK.split(text[:index])
    return len(before) - 1, len(before[-1]), 1


@lru_cache(maxsize=64)
def lines(text: str) -> list[str]:
    """Return the lines of a text, without their ends."""
    return LINE_BREAK.split(text)


def mark_of(text: str, file: str, place: Place) -> Mark:
    """Return a place as a mark with its line's text."""
    line, column, width = place
    there = lines(text)
    return Mark(file, line + 1, column + 1, width, there[line] if line < len(there) else "")


def locate(text: str, file: str, path: tuple[Step, ...], key: bool = False) -> Mark:
    """Return where the value at ``path`` stands, or its key, or its nearest parent where it is missing."""
    events, after = _walked(text)
    if not events:
        return Mark(file)
    at, place = 0, place_of(events[0])
    for step in path:
        if step == 0 and not isinstance(events[at], yaml.SequenceStartEvent):
            continue  # one value stands for a list of one
        found = _below(events, after, at, step)
        if found is None:
            break
        key_at, at = found
        points_at_key = key_at is not None and (key or _is_below_its_key(text, events[at]))
        place = place_of(events[key_at if key_at is not None and points_at_key else at])
    return mark_of(text, file, place)


@lru_cache(maxsize=64)
def _walked(text: str) -> tuple[list[Any], list[int]]:
    """Return the events of a text from its root on, and for each the index after all that it holds.

    Both are empty where the text cannot be parsed or is empty.
    """
    try:
        _, _, *events = yaml.parse(text, Loader=yaml.CSafeLoader)
    except (yaml.YAMLError, ValueError):
        return [], []
    if not events or isinstance(events[0], NOTHING):
        return [], []
    after, opened = list(range(1, len(events) + 1)), []
    for at, event in enumerate(events):
        if isinstance(event, OPENING):
            opened.append(at)
        elif isinstance(event, CLOSING):
            after[opened.pop()] = at + 1
    return events, after


def _below(events: list[Any], after: list[int], at: int, step: Step) -> tuple[int | None, int] | None:
    """Return the indices of the key, if any, and of the value that a step leads to."""
    below = at + 1
    if isinstance(events[at], yaml.MappingStartEvent):
        while not isinstance(events[below], CLOSING):
            value = after[below]
            if isinstance(events[below], yaml.ScalarEvent) and events[below].value == step:
                return below, value
            below = after[value]
    elif isinstance(events[at], yaml.SequenceStartEvent) and isinstance(step, int):
        for _ in range(step):
            if isinstance(events[below], CLOSING):
                return None
            below = after[below]
        return None if isinstance(events[below], CLOSING) else (None, below)
    return None


def _is_below_its_key(text: str, event: Any) -> bool:
    """A block list or mapping starts on the line below its key: point at the key instead."""
    if not isinstance(event, OPENING):
        return False
    line, column, _ = place_of(event)
    return lines(text)[line][column : column + 1] not in {"[", "{"}
