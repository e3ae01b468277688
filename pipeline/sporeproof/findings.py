"""The words that all rooms share: where something stands, what a rule saw there, how grave it is."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

# Stands wherever a person reads what Sporeproof says.
SAFETY_NOTE = (
    "Sporeproof supports identification by a competent person and never replaces it; "
    "local law, land managers and codes of practice come first."
)


class Level(StrEnum):
    """How grave a finding is; only an error stops a release."""

    ERROR = "error"
    WARNING = "warning"
    NOTICE = "notice"


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """A place in a file: line and column count from 1, ``width`` in characters, ``excerpt`` the line's text.

    Line 0 stands for a file as a whole, where there is no text to point at.
    """

    file: str
    line: int = 0
    column: int = 0
    width: int = 1
    excerpt: str = ""


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something in a file that could not be taken as it stands; a rule of the same slug words it.

    ``words`` holds what the sentence needs: the word as written, what it was read as, the nearest right word.
    """

    kind: str
    at: Mark
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Problem:
    """What a rule yields: a place, a sentence, an edit. ``level`` only where it is not the rule's usual one."""

    at: Mark
    message: str
    mend: str
    level: Level | None = None
    taxon_id: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """A problem with its rule's code, level and reason: what every report prints."""

    code: str
    level: Level
    message: str
    why: str
    mend: str
    at: Mark
    taxon_id: str = ""
    name: str = ""


def in_order(findings: list[Finding]) -> list[Finding]:
    """Return the findings by file, line, column, code and message, so that two runs print the same."""
    return sorted(findings, key=lambda each: (each.at.file, each.at.line, each.at.column, each.code, each.message))


def plain(text: str) -> str:
    """Return the text with each control, format and separator sign made visible, safe for a terminal.

    Covers C0 and C1 controls, and Unicode's format signs, which can turn the direction of what follows.
    """
    return "".join(sign if sign.isprintable() else _visible(sign) for sign in text)


def _visible(sign: str) -> str:
    return " " if sign == "\t" else f"\\u{{{ord(sign):x}}}"
