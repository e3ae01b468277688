"""Reads a dataset's folder: entries, and the files that stand beside them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.findings import Mark, Trouble
from sporeproof.records.build import HARMLESS, build
from sporeproof.records.entry import Entry, Reading
from sporeproof.text.files import fetch, name_of
from sporeproof.text.places import locate
from sporeproof.text.read import Page, read_page

if TYPE_CHECKING:
    from sporeproof.form.shapes import Shape

TAXA = "dataset/taxa"
ENDING = ".yaml"


@dataclass(slots=True)
class Companion:
    """A file beside the entries: its page, and its plain value (empty where it is absent or unreadable)."""

    page: Page
    value: Any

    def at(self, *path: str | int) -> Mark:
        """Return where the value at the path stands, or its nearest parent."""
        return locate(self.page.text, self.page.file, path)

    def at_key(self, *path: str | int) -> Mark:
        """Return where the key at the end of the path stands."""
        return locate(self.page.text, self.page.file, path, key=True)


@dataclass(slots=True)
class Dataset:
    """All that the folder ``dataset/`` says, read and not yet judged."""

    readings: list[Reading]
    companions: dict[str, Companion] = field(default_factory=dict)

    @property
    def entries(self) -> list[Entry]:
        """The entries that could be read, in the order of their files."""
        return [reading.entry for reading in self.readings if reading.entry is not None]

    @property
    def threshold(self) -> float | None:
        """The similarity from which two taxa count as alike; None, and then all do, unless it lies from 0 to 1."""
        given = self.companions["package"].value.get("similarity_threshold")
        return given if isinstance(given, int | float) and 0 <= given <= 1 else None


def page_of(path: Path, root: Path) -> Page:
    """Return the page of a file; why it could not be had is a trouble on an empty page."""
    found = fetch(path, root)
    if isinstance(found, Trouble):
        return Page(found.at.file, troubles=[found])
    return read_page(found, name_of(path, root))


def read_entry(path: Path, root: Path, shape: Shape) -> Reading:
    """Return what came of one entry's file. It never raises for what stands in it."""
    if path.suffix != ENDING:
        name = name_of(path, root)
        return Reading(Page(name, troubles=[Trouble("other-ending", Mark(name), (path.name, ENDING))]))
    return reading_of(page_of(path, root), shape)


def reading_of(page: Page, shape: Shape) -> Reading:
    """Return the reading of a page that holds an entry."""
    value = build(page, shape)
    entry = None
    if isinstance(value, dict):
        sound = all(each.kind in HARMLESS for each in page.troubles)
        entry = Entry(page.file, page.text, value, sound)
    page.root = None  # nodes are many and places are found again when asked for
    return Reading(page, entry)


def entry_files(root: Path) -> Iterator[Path]:
    """Yield what lies among the entries, sorted by name; only hidden files are passed over in silence."""
    yield from sorted(path for path in (root / TAXA).glob("*") if not path.name.startswith("."))


def read_entries(paths: Iterable[Path], root: Path, shape: Shape) -> list[Reading]:
    """Return the readings of several files, in their order."""
    return [read_entry(path, root, shape) for path in paths]


def read_companions(root: Path, shape: Shape) -> dict[str, Companion]:
    """Return sources, protections, retired ids and package words; an absent file counts as empty."""
    return {name: _companion(root / "dataset" / f"{name}.yaml", root, below) for name, below in shape.keys.items()}


def _companion(path: Path, root: Path, shape: Shape) -> Companion:
    empty: Any = [] if shape.kind == "list" else {}
    if not path.exists() and not path.is_symlink():
        return Companion(Page(name_of(path, root)), empty)
    page = page_of(path, root)
    # Having nothing to say is no mistake here.
    page.troubles = [each for each in page.troubles if each.kind != "empty"]
    value = build(page, shape)
    return Companion(page, empty if value is None else value)
