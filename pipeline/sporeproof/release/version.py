"""The version of the data, computed from what changed and never typed (data-model.md, 5)."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sporeproof.release.changes import Change

FIRST = "0.1.0"
FORM = re.compile(r"(0|[1-9]\d*)\.(0|[1-9]\d*)\.(0|[1-9]\d*)")
PARTS = ("major", "minor", "patch")


@dataclass(frozen=True, slots=True)
class Version:
    """The number, the part of it that was raised (empty for none), and the change that called for it."""

    number: str
    raised: str = ""
    because: str = ""


def next_version(previous: str, changes: list[Change]) -> Version:
    """Return the version that follows: the gravest change decides, also before 1.0.0.

    >>> next_version("0.3.1", [])
    Version(number='0.3.1', raised='', because='')
    """
    if not changes:
        return Version(previous)
    gravest = min(changes, key=lambda each: each.weight)
    before, weight = numbers(previous), gravest.weight
    raised = [*before[:weight], before[weight] + 1, *[0] * (2 - weight)]
    return Version(".".join(map(str, raised)), PARTS[weight], gravest.line)


def numbers(version: str) -> tuple[int, int, int]:
    """Return the three numbers of a version, by which versions are in order (semver.org, 2.0.0, item 11).

    >>> numbers("1.9.0") < numbers("1.10.0") < numbers("1.11.0")
    True
    """
    major, minor, patch = map(int, version.split("."))
    return major, minor, patch


def is_version(text: str) -> bool:
    """Tell whether a text is a version of the data: three whole numbers.

    >>> is_version("1.10.0"), is_version("1.02.0"), is_version("v1.0.0")
    (True, False, False)
    """
    return FORM.fullmatch(text) is not None
