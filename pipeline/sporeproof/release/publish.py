"""From tables to a published version: judged by their schemas, numbered, told, packed, put in their place."""

from __future__ import annotations

import json
import re
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl

from sporeproof.confusion.statistics import Figures
from sporeproof.form.load import Form
from sporeproof.release.changes import Change, changes
from sporeproof.release.content import Content, Files
from sporeproof.release.contract import contract_changes, published
from sporeproof.release.editions import Editions
from sporeproof.release.manifest import SUMS
from sporeproof.release.news import first_entries, news, on_memory
from sporeproof.release.news_json import news_json
from sporeproof.release.notices import TABLE, noticed
from sporeproof.release.package import DESCRIPTOR, NEWS, NEWS_JSON, PROVENANCE, package
from sporeproof.release.provenance import provenance, schema_hash
from sporeproof.release.read import Package, read_package
from sporeproof.release.refusals import Refused, ReleaseError, sentences
from sporeproof.release.strictness import Kind
from sporeproof.release.unsaid import unsaid
from sporeproof.release.version import FIRST, Version, next_version
from sporeproof.release.write import write
from sporeproof.tables.build import Tables
from sporeproof.tables.faults import Fault, Frames, faults, frames

NAME = re.compile(r"[a-z0-9]+(?:[-.][a-z0-9]+)*")
NEEDED = ("name", "title", "description", "licence", "contributors")


@dataclass(frozen=True, slots=True)
class Published:
    """What came of a release. ``changed`` is False where the folder held just these files already."""

    version: str
    folder: Path
    changed: bool
    news: str
    counts: dict[str, int]
    because: str = ""
    on_memory: int = 0


def publish(
    tables: Tables,
    form: Form,
    words: dict[str, Any],
    licence: str | None,
    previous: Path | None,
    out: Path,
    figures: Sequence[Figures] = (),
) -> Published:
    """Write the next version of the data below ``out`` and return what it is.

    ``words`` is what ``dataset/package.yaml`` says, ``licence`` the text of the data's licence, ``previous`` the folder
    of the version before; ``figures`` are told in the news. Raises :class:`Refused` where the tables may not be
    published, and :class:`ReleaseError` where a package cannot be read or written. No rule of the dataset is run here.
    """
    _refuse(_lacking(tables, words))
    made = frames(tables, form)
    found = faults(made, form)
    _refuse(_numberless(made, found, form) or sentences(found, form))
    _refuse(unsaid(made, form))
    before = _before(previous, words["name"]) if previous else None
    kept = Kept(made, form, words, licence, figures)
    ready = _first(kept) if before is None else _next(before, kept)
    folder = out / f"{words['name']}-{ready.version.number}"
    changed = write(ready.files(), folder)
    counts = {name: frame.height for name, frame in made.items()}
    remembered = sum(1 for _ in on_memory(made, form))
    version, told = ready.version, ready.told[NEWS].decode()
    return Published(version.number, folder, changed, told, counts, version.because, remembered)


def _refuse(reasons: Iterable[str]) -> None:
    if listed := list(reasons):
        raise Refused(listed)


def _lacking(tables: Tables, words: dict[str, Any]) -> list[str]:
    reasons = [f"dataset/package.yaml does not give: {key}." for key in NEEDED if not words.get(key)]
    if words.get("name") and not NAME.fullmatch(str(words["name"])):
        reasons.append(
            f"dataset/package.yaml gives the name {words['name']}, which cannot be the name of a folder: "
            f"write lower-case letters, numbers and hyphens."
        )
    if not tables.get("taxa"):
        reasons.append("There is no entry to publish.")
    return reasons


def _numberless(made: Frames, found: list[Fault], form: Form) -> list[str]:
    """Return a sentence for each entry that has no number yet; their other faults follow from that."""
    (key,) = form.tables["taxa"]["primaryKey"]
    rows = [each.row for each in found if (each.table, each.column, each.kind) == ("taxa", key, "pattern")]
    names = [str(made["taxa"]["name"][row - 1]) for row in rows]
    return [f"{name} has no number yet. Give it one with `sporeproof number`." for name in names]


def _before(previous: Path, name: str) -> Package:
    folder = previous.parent if previous.name == DESCRIPTOR else previous
    before = read_package(folder)
    if before.name != name:
        raise ReleaseError(f"{folder} is a version of {before.name} and not of {name}. Give a version of {name}.")
    return before


@dataclass(frozen=True, slots=True)
class Kept:
    """What a version is made of."""

    made: Frames
    form: Form
    words: dict[str, Any]
    licence: str | None
    figures: Sequence[Figures]

    def news(self, version: Version, previous: str, told: list[Change]) -> str:
        """Return the news of a version."""
        return news(version, previous, told, self.made, self.form, self.figures)

    def ready(self, version: Version, told: Files, history: pl.DataFrame, before: Package | None = None) -> Ready:
        """Return a version with the files that tell its changes; ``before`` is the version that it follows."""
        made = {**self.made, TABLE: history}
        _refuse(sentences(faults({TABLE: history}, self.form), self.form))
        since = _since(before, self.form) or version.number
        known = _complete_since(before) or version.number
        whence = provenance(made, self.form, self.words, version.number, since, known)
        return Ready(version, Content(made, self.form, self.words, version.number, whence), told, self.licence)

    def told(self, version: Version, previous: str, changed: list[Change]) -> Files:
        """Return the files that tell the changes of a version."""
        text = self.news(version, previous, changed)
        return {NEWS: text.encode(), NEWS_JSON: news_json(version, previous, changed)}


@dataclass(frozen=True, slots=True)
class Ready:
    """A version that can be written; ``told`` are the files that tell of the changes."""

    version: Version
    content: Content
    told: Files
    licence: str | None

    def files(self) -> Iterator[tuple[str, bytes]]:
        """Yield path and bytes of each file, the checksums of all others last."""
        return package(self.content, self.told, self.licence)

    def sums(self) -> bytes:
        """Return the checksums, made by writing every file to nowhere."""
        return deque(self.files(), maxlen=1).pop()[1]


def _since(before: Package | None, form: Form) -> str:
    """Return the version that brought today's table schemas; empty where it is the one that is being made."""
    if before is None or PROVENANCE not in before.files:
        return ""
    schema = json.loads(before.files[PROVENANCE])["schema"]
    return str(schema["since"]) if schema["sha256"] == schema_hash(form) else ""


def _complete_since(before: Package | None) -> str:
    """Return the version after which all notices are known; empty for a first one."""
    if before is None:
        return ""
    if TABLE not in before.frames or PROVENANCE not in before.files:
        return before.version
    return str(json.loads(before.files[PROVENANCE])["notices"]["complete_since"])


def _first(kept: Kept) -> Ready:
    version = Version(FIRST)
    return kept.ready(version, kept.told(version, "", first_entries(kept.made, kept.form)), kept.made[TABLE])


def _next(before: Package, kept: Kept) -> Ready:
    """Return the next version; the old one where nothing at all is different."""
    editions = Editions(before.frames, kept.made, kept.form)
    _refuse(
        f"{before.version} knows {editions.named(id)}; neither an entry nor dataset/retired.yaml does now. "
        "Say there where it leads, for an id is never deleted."
        for id in editions.gone()
    )
    schemas = {name: published(schema) for name, schema in kept.form.tables.items()}
    told = changes(editions) + contract_changes(before.schemas, schemas)
    if not told:
        told_then = {path: before.files[path] for path in (NEWS, NEWS_JSON) if path in before.files}
        same = kept.ready(Version(before.version), told_then, before.frames.get(TABLE, kept.made[TABLE]), before)
        if same.sums() == before.files[SUMS]:
            return same
        told = [Change(Kind.WORDS, "package", "the same rows, in other words or other bytes")]
    version = next_version(before.version, told)
    history = noticed(told, version.number, before.frames.get(TABLE), kept.form)
    return kept.ready(version, kept.told(version, before.version, told), history, before)
