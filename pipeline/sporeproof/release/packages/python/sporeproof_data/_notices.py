"""What got stricter since a version: whoever relies on an earlier one must look again."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from ._facts import fact
from ._read import index
from ._read import notices as told

FORM = re.compile(r"(0|[1-9][0-9]*)\.(0|[1-9][0-9]*)\.(0|[1-9][0-9]*)")
BETWEEN = "|"


class NoticesIncomplete(LookupError):
    """Notices between a version and this one are not known."""


class Notice(NamedTuple):
    """Something that got stricter: in which version, of which taxon, and the sentence that tells it.

    ``taxon_id`` and ``with_taxon_id`` may have ended since: ``find`` follows them. ``old`` and ``new`` are what stood
    and stands in ``column`` of ``table`` of the release.
    """

    notice_id: str
    version: str
    kind: str
    taxon_id: str | None
    name: str | None
    with_taxon_id: str | None
    with_name: str | None
    table: str
    column: str | None
    old: str | None
    new: str | None
    source_ids: tuple[str, ...]
    reason: str | None
    text: str

    def __str__(self) -> str:
        about = f"{self.name or ''} ({self.taxon_id}): " if self.taxon_id else ""
        return f"{self.version}: {about.lstrip()}{self.text}"


def notices(since: str, *, partial: bool = False) -> tuple[Notice, ...]:
    """Return the notices of all versions after ``since``, in the order of the versions (semver.org, 2.0.0, item 11).

    None for this version itself. ``partial`` also answers where the notices do not reach back that far.
    Raises: ValueError for what is no version of the data, or newer than this one; NoticesIncomplete.
    """
    after, here = _numbers(since), _numbers(index()["version"])
    if after > here:
        raise ValueError(f"{since} is newer than this version, {index()['version']}: install the newer package.")
    known = index()["provenance"]["notices"]["complete_since"]
    if after < _numbers(known) and not partial:
        raise NoticesIncomplete(
            f"What got stricter between {since} and {known} is not known here. Look at every taxon again, or ask with "
            "partial=True for what is known."
        )
    rows = sorted((_numbers(row["version"]), place, row) for place, row in enumerate(told()))
    return tuple(_notice(row) for version, _, row in rows if version > after)


def _notice(row: dict[str, Any]) -> Notice:
    listed = (row["source_ids"] or "").split(BETWEEN)
    return fact(Notice, row | {"source_ids": list(filter(None, listed))})


def _numbers(version: str) -> tuple[int, ...]:
    found = FORM.fullmatch(version)
    if not found:
        raise ValueError(f"{version!r} is no version of the data; those are three numbers, such as 1.10.0.")
    return tuple(map(int, found.groups()))
