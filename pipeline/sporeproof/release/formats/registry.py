"""The formats that a release is written in, found by looking into this folder."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache

import sporeproof.release.formats as room
from sporeproof.release.content import Content, Files

PREFIX = "to_"


@dataclass(frozen=True, slots=True)
class Format:
    """A format: how its files are written, and what is amiss with those of a received release, in sentences.

    ``about`` says what it is, for the page of a release; ``paths`` which files are its own.
    """

    name: str
    about: str
    write: Callable[[Content], Files]
    amiss: Callable[[Files, Content], Iterable[str]]
    paths: Callable[[Content], list[str]]


@cache
def all_formats() -> dict[str, Format]:
    """Return every format by its name: what follows ``to_`` in the name of its module."""
    found = (each.name for each in pkgutil.iter_modules(room.__path__) if each.name.startswith(PREFIX))
    return {name.removeprefix(PREFIX): _format(name) for name in sorted(found)}


def _format(name: str) -> Format:
    module = importlib.import_module(f"{room.__name__}.{name}")
    about = (module.__doc__ or "").partition("\n")[0]
    return Format(name.removeprefix(PREFIX), about, getattr(module, name), module.amiss, module.paths)
