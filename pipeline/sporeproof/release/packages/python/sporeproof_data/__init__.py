"""A checklist of fungi for people who teach foraging: what may be said of a fungus, and what else it could be.

It supports identification by a competent person and never replaces it; local law, land managers and codes of practice
come first (``SAFETY_NOTE``).

- :func:`find` leads from any name to all taxa that it may mean, the most dangerous first.
- ``taxon.verdict`` is no yes or no. It holds its needs, cautions and confusions, and printed it tells all of them.
- Whatever is missing raises an error and is never a clearance.

``SAFETY_NOTE`` (str), ``__version__`` (str, that of the data) and the licence are read when they are asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ._facts import (
    Accepted,
    Measurement,
    Name,
    Onset,
    Opinion,
    Protection,
    Review,
    Season,
    Setting,
    State,
    Term,
    Vernacular,
)
from ._lookup import NotRecorded, NotReviewed, confusions, find, proof, taxa, taxon
from ._notices import Notice, NoticesIncomplete, notices
from ._other import Answered, Confusion, Left
from ._proof import Item, NoProof, Proof, ProofLevel
from ._read import BrokenData
from ._taxon import Taxon
from ._told import characters, provenance, sources
from ._verdict import Syndrome, Verdict

if TYPE_CHECKING:
    SAFETY_NOTE: str
    LICENCE: str
    __version__: str

__all__ = [
    "LICENCE",
    "SAFETY_NOTE",
    "Accepted",
    "Answered",
    "BrokenData",
    "Confusion",
    "Item",
    "Left",
    "Measurement",
    "Name",
    "NoProof",
    "NotRecorded",
    "NotReviewed",
    "Notice",
    "NoticesIncomplete",
    "Onset",
    "Opinion",
    "Proof",
    "ProofLevel",
    "Protection",
    "Review",
    "Season",
    "Setting",
    "State",
    "Syndrome",
    "Taxon",
    "Term",
    "Verdict",
    "Vernacular",
    "__version__",
    "characters",
    "confusions",
    "find",
    "notices",
    "proof",
    "provenance",
    "sources",
    "taxa",
    "taxon",
]


def __getattr__(name: str) -> Any:
    from ._told import WORDS

    if name in WORDS:
        return WORDS[name]()
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
