"""Reads a log as GitHub does, written apart from what writes it.

Source: GitHub Actions documentation, workflow commands, from memory: ``::name key=value,key=value::message``
at the start of a line; in a message %25, %0D and %0A stand for %, carriage return and line feed; in a
property %3A and %2C stand for colon and comma too. Levels are error, warning and notice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

COMMAND = re.compile(r"::(?P<name>[a-z-]+)(?: (?P<properties>.*?))?::(?P<message>.*)", re.DOTALL)
ESCAPES = {"%25": "%", "%0D": "\r", "%0A": "\n"}
PROPERTY_ESCAPES = ESCAPES | {"%3A": ":", "%2C": ","}


@dataclass
class Command:
    """One command of a log."""

    name: str
    properties: dict[str, str]
    message: str


def read(log: str) -> tuple[list[Command], list[str]]:
    """Return the commands of a log and its other lines; every way to end a line ends a command."""
    commands, others = [], []
    for line in log.splitlines():
        found = COMMAND.fullmatch(line.lstrip())
        if found is None:
            others.append(line)
            continue
        pairs = [pair.split("=", 1) for pair in (found["properties"] or "").split(",") if pair]
        properties = {key: _unescaped(value, PROPERTY_ESCAPES) for key, value in pairs}
        commands.append(Command(found["name"], properties, _unescaped(found["message"], ESCAPES)))
    return commands, others


def _unescaped(text: str, escapes: dict[str, str]) -> str:
    return re.sub("|".join(escapes), lambda found: escapes[found[0]], text)
