"""Small checklists for tests, indexed as a download would be: a Catalogue of Life Data Package with invented keys."""

from __future__ import annotations

import tempfile
import zipfile
from contextlib import contextmanager
from pathlib import Path

from sporeproof import indexed
from sporeproof.names.backbone.ask import backbone
from sporeproof.names.matching.asked import Given, asked_all
from sporeproof.names.verdict import judged

COLUMNS = ("col:ID", "col:parentID", "col:status", "col:rank", "col:scientificName", "col:authorship")
RANKS = ("kingdom", "phylum", "class", "order", "family", "genus", "species")


def packed(rows: list[tuple[str, ...]], path: Path, columns: tuple[str, ...] = COLUMNS) -> Path:
    """Write rows (key, parent, status, rank, name, authorship) as a ColDP archive."""
    lines = ["\t".join(each) for each in [columns, *rows]]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("NameUsage.tsv", "\n".join(lines) + "\n")
    return path


def line_of(*names: str, ranks: tuple[str, ...] = RANKS) -> list[tuple[str, ...]]:
    """Return accepted rows, each in the one before; a key is the name itself, as nothing here has a real one."""
    found: list[tuple[str, ...]] = []
    for name, rank in zip(names, ranks, strict=False):
        canonical, _, authorship = name.partition(" | ")
        found.append((canonical, found[-1][0] if found else "", "accepted", rank, canonical, authorship))
    return found


@contextmanager
def held(rows: list[tuple[str, ...]]):
    """Index rows, and give what can be asked; rows that stand twice letter by letter count once."""
    with tempfile.TemporaryDirectory() as folder:
        index = Path(folder) / "index"
        indexed.names_index(packed(list(dict.fromkeys(rows)), Path(folder) / "checklist.zip"), index)
        with backbone(index) as found:
            yield Asking(found)


class Asking:
    """Asks an index one name at a time."""

    def __init__(self, found) -> None:
        self.found = found

    def match(self, name: str, authorship: str = "", rank: str = "", *, strict: bool = False, **higher: str):
        """Return the match of a name; `class_` is the class."""
        return self._both(Given(name, authorship, rank, _terms(higher)), strict=strict)[1]

    def verdict(self, name: str, authorship: str = "", rank: str = "", *, strict: bool = False, **higher: str):
        """Return what we make of it."""
        return judged(*self._both(Given(name, authorship, rank, _terms(higher)), strict=strict))

    def _both(self, given: Given, *, strict: bool):
        (asked,) = asked_all([given])
        (match,) = self.found.matches([asked], strict=strict)
        return asked, match


def _terms(higher: dict[str, str]) -> dict[str, str]:
    return {key.rstrip("_"): said for key, said in higher.items()}
