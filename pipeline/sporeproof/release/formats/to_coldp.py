"""A Catalogue of Life Data Package (ColDP) for checklists: names, synonyms, references, hosts, properties of taxa."""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.release.content import Content, Files
from sporeproof.release.formats.exchange import archive
from sporeproof.release.formats.exchange.coldp_tables import other_yaml, tables, texts

PATH = "coldp.zip"


def to_coldp(content: Content) -> Files:
    """Return the package."""
    return archive.written(_archive(content))


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each thing that a received package lacks, adds or says otherwise than the tables."""
    return archive.amiss(_archive(content), files)


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [PATH]


def _archive(content: Content) -> archive.Archive:
    return archive.Archive(PATH, texts(content), tables(content), other_yaml)
