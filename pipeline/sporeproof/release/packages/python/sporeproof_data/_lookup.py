"""From any name to all the taxa that it may mean."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from ._proof import Proof
from ._read import danger, index, meanings, record
from ._taxon import Taxon

if TYPE_CHECKING:
    from ._other import Confusion

BY_ID = "id"
NO_CLEARANCE = "That is no clearance: what is not recorded may be deadly."


class NotRecorded(LookupError):
    """No taxon is recorded under a name or an id, which says nothing about it."""


class NotReviewed(NotRecorded):
    """A taxon that was asked for is recorded, but nobody has vouched for its entry."""


def taxa(*, reviewed_only: bool = False) -> tuple[Taxon, ...]:
    """Return all taxa by id; on demand only those whose entry was reviewed. Their confusions are never filtered."""
    return tuple(map(Taxon, index()["reviewed" if reviewed_only else "taxa"]))


def taxon(id: str) -> Taxon:
    """Return the taxon with an id.

    Raises: NotRecorded, also for an id that has ended; :func:`find` follows it.
    """
    if id in index()["taxa"]:
        return Taxon(id)
    if id in index()["retired"]:
        raise NotRecorded(f"{id} has ended, and may be several taxa today. Ask find({id!r}) for them.")
    raise NotRecorded(f"No taxon with the id {id!r} is recorded. {NO_CLEARANCE}")


def find(name: str, *, reviewed_only: bool = False) -> tuple[Taxon, ...]:
    """Return all the taxa that a name may mean, the most dangerous verdict first; never none.

    ``name``: current, former, misspelling or misapplied, with or without its authors; an everyday name; an id. Case and
    spacing do not matter. A name or an id that has ended leads to its successors. ``reviewed_only`` wants that every
    one of them was reviewed, since one that is left out may be the dangerous one.
    Raises: NotRecorded, NotReviewed.
    """
    word = spelled(name)
    roles: dict[str, tuple[str, ...]] = {id: (BY_ID,) for id in index()["taxa"] if id.lower() == word}
    for id, role in meanings(word):
        roles[id] = (*roles.get(id, ()), role)
    if not roles:
        raise NotRecorded(_nothing(name, word))
    found = sorted((Taxon(id, roles[id]) for id in roles), key=lambda each: (danger(each.verdict.id), each.id))
    _reviewed(name, found if reviewed_only else [])
    return tuple(found)


def confusions(of: Taxon | str) -> tuple[Confusion, ...]:
    """Return what a taxon, or the taxon with an id, can be taken for, the most dangerous first.

    Raises: NotRecorded.
    """
    return _taxon(of).confusions


def proof(of: Taxon | str) -> Proof:
    """Return what to look at before a taxon, or the taxon with an id, is accepted.

    Raises: NoProof, NotRecorded.
    """
    return _taxon(of).proof


def spelled(name: str) -> str:
    """Return a name as the index spells it: NFC, lower case, single spaces."""
    return " ".join(unicodedata.normalize("NFC", name).lower().split())


def _nothing(name: str, word: str) -> str:
    """Return why a name leads nowhere; what was withdrawn may have been so because it is a danger."""
    for id, ended in index()["retired"].items():
        if word in (spelled(id), spelled(ended["was"])):
            return (
                f"{ended['was']} ({id}) ended with version {ended['since']}, and nothing stands in its place: "
                f"{ended['reason']}. {NO_CLEARANCE}"
            )
    return f"Nothing is recorded under {name!r}. {NO_CLEARANCE}"


def _taxon(of: Taxon | str) -> Taxon:
    return of if isinstance(of, Taxon) else taxon(of)


def _reviewed(name: str, found: list[Taxon]) -> None:
    left = [f"{each.name} ({each.id})" for each in found if not record(each.id)["review"]["reviewed"]]
    if left:
        raise NotReviewed(
            f"{name!r} may mean {', '.join(left)}, and nobody has reviewed what is said there. "
            "Ask without reviewed_only, and show that it is unreviewed."
        )
