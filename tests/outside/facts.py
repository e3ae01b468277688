"""Facts of others, as kept beside the tests, and the differences from them that were looked at and explained."""

from __future__ import annotations

import csv
from pathlib import Path

HERE = Path(__file__).parent


def rows(path: str) -> list[dict[str, str]]:
    """Return the rows of a file below ``tests/outside``."""
    with (HERE / path).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def words(cell: str) -> list[str]:
    """Return the words of a cell that holds a list."""
    return cell.split("|") if cell else []


def explained(what: str) -> dict[tuple[str, str], str]:
    """Return the reason for each difference, by name and what it is about; none may be without."""
    found = {(row["name"], row["about"]): row["reason"] for row in rows(f"{what}_explained.csv")}
    assert all(found.values()), f"{what}_explained.csv has a line without a reason"
    return found


def settle(what: str, differences: dict[tuple[str, str], str], compared: int) -> None:
    """Hold the differences against the explained ones: each is explained, and no explanation has outlived its own.

    Prints how many values were compared, and how many differ (``pytest -rP`` shows it).
    """
    print(f"{what}: {compared} compared, {len(differences)} differ")
    known = explained(what)
    new = [f"{name}, {about}: {said}" for (name, about), said in differences.items() if (name, about) not in known]
    assert new == [], "mend the entry, or explain each in one line"
    assert [each for each in known if each not in differences] == [], "explained, but no longer different"
