"""What a rule is, and how the rules are found."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

import sporeproof.checks
from sporeproof.findings import Finding, Level, Problem

SECTIONS = ("Why", "Mend", "Wrong", "Right", "Source")

Find = Callable[..., Iterable[Problem]]


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: its code, the levels it may use (the usual one first), what it looks at, and its text.

    ``released`` says that it can be run again on what a release holds.
    """

    code: str
    levels: tuple[Level, ...]
    per: str
    find: Find
    text: str
    released: bool = False

    @property
    def family(self) -> str:
        """The part of the code before the full stop."""
        return self.code.partition(".")[0]

    @property
    def title(self) -> str:
        """The first line of the explanation."""
        return self.text.strip().splitlines()[0]

    @property
    def why(self) -> str:
        """Why it matters, as one paragraph."""
        return " ".join(self.section("Why").split())

    def section(self, name: str) -> str:
        """Return one section of the explanation."""
        found = re.search(rf"^## {name}\n(.*?)(?=^## |\Z)", self.text, re.MULTILINE | re.DOTALL)
        return found[1].strip() if found else ""

    def finding(self, problem: Problem) -> Finding:
        """Return the finding that a problem of this rule makes."""
        level = problem.level or self.levels[0]
        assert level in self.levels, f"{self.code} does not declare the level {level}"
        return Finding(
            self.code, level, problem.message, self.why, problem.mend, problem.at, problem.taxon_id, problem.name
        )


def rule(code: str, *levels: str, per: str, released: bool = False) -> Callable[[Find], Find]:
    """Mark a function as the rule of its module; the code must be the module's path.

    ``per`` says what it is called with: file (reading, form), entry (entry, checklist, form), name (use, form),
    aged (use, limit, form), pair (pair, form), suspects (suspected, form), proof (proof, form),
    excuse (excuse, form) or dataset (dataset, form). ``released`` marks a rule that can be run on entries rebuilt from
    the tables of a release: all that it asks for stands there, so that it finds there what it finds in the dataset.
    """

    def mark(find: Find) -> Find:
        family, _, slug = code.partition(".")
        expected = f"{sporeproof.checks.__name__}.{family}.{slug.replace('-', '_')}"
        if find.__module__ != expected:
            raise ValueError(f"{code} stands in {find.__module__}; it belongs in {expected}")
        text = importlib.import_module(find.__module__).__doc__ or ""
        find.rule = Rule(code, tuple(map(Level, levels)), per, find, text, released)  # type: ignore[attr-defined]
        return find

    return mark


@cache
def all_rules() -> dict[str, Rule]:
    """Return every rule by its code, in the order of the codes."""
    found: dict[str, Rule] = {}
    for package in _below(sporeproof.checks, families=True):
        for module in _below(package, families=False):
            for value in vars(module).values():
                if isinstance(made := getattr(value, "rule", None), Rule):
                    found[made.code] = made
    return dict(sorted(found.items()))


def released_rules() -> list[Rule]:
    """Return the rules that can be run on what a release holds."""
    return [each for each in all_rules().values() if each.released]


def _below(package: Any, *, families: bool) -> list[Any]:
    return [
        importlib.import_module(f"{package.__name__}.{each.name}")
        for each in pkgutil.iter_modules(package.__path__)
        if each.ispkg == families
    ]
