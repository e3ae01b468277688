"""A Darwin Core Archive for recorders: names, descriptions, facts and confusions of each taxon, with EML."""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.release.content import Content, Files
from sporeproof.release.formats.exchange import archive
from sporeproof.release.formats.exchange.dwca_tables import tables
from sporeproof.release.formats.exchange.dwca_xml import EML, META, eml, meta, other_tree

PATH = "darwin-core-archive.zip"


def to_dwca(content: Content) -> Files:
    """Return the archive."""
    return archive.written(_archive(content))


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each thing that a received archive lacks, adds or says otherwise than the tables."""
    return archive.amiss(_archive(content), files)


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [PATH]


def _archive(content: Content) -> archive.Archive:
    texts = {META: meta(), EML: eml(content)}
    return archive.Archive(PATH, texts, list(tables(content).values()), other_tree)
