"""Whom an edible taxon must have been compared with, by fertile surface: `suspects.yaml` (engine.md, 4)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Expected:
    """What one fertile surface asks for: the taxa by name, and the characters that each must have on record.

    ``records`` holds those characters by stage; one that does not apply to a taxon is not asked of it.
    """

    taxa: tuple[str, ...]
    records: dict[str, tuple[str, ...]]


# The key of the taxa; every other key of a surface is a stage.
TAXA = "taxa"


def expected_of(raw: dict[str, dict[str, Any]]) -> dict[str, Expected]:
    """Return what each fertile surface asks for, by the state of the catalogue that names the surface."""
    return {
        surface: Expected(
            tuple(given[TAXA] or ()), {stage: tuple(ids or ()) for stage, ids in given.items() if stage != TAXA}
        )
        for surface, given in raw.items()
    }
