"""What a change means to somebody who relies on the data, by what the table schemas say under ``change``.

A table says what a new and a lost row mean (where all rows of a ``group`` come or go at once it is the
opposite, with ``by`` a field decides); a field says what another value means: a kind, or how strict its
values are. Words of a field's ``change``: ``strictest`` is a list of values, ``vocabulary`` (the order of its
words), ``most`` or ``least`` (of a number or a list in a cell); ``nothing`` says that an empty cell is the
``mildest`` and not the strictest; ``milder`` is the kind of a step towards milder, ``eased_from`` lists
values from which it is ``eased``.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from sporeproof.tables.build import BETWEEN


class Kind(StrEnum):
    """What a change means, the gravest first."""

    MILDER = "milder"
    EASED = "eased"
    MEANING = "meaning"
    STRICTER = "stricter"
    WITHDRAWN = "withdrawn"
    DANGER = "danger"
    ENTRY = "entry"
    NAMES = "names"
    VALUES = "values"
    WORDS = "words"
    SOURCES = "sources"


# data-model.md, 5. `eased`: milder, but no verdict, need, caution, confusion or protection that a person
# wrote.
MAJOR, MINOR, PATCH = 0, 1, 2
WEIGHTS = {
    **dict.fromkeys(Kind, MINOR),
    Kind.MILDER: MAJOR,
    Kind.MEANING: MAJOR,
    Kind.WORDS: PATCH,
    Kind.SOURCES: PATCH,
}
QUIET = frozenset({Kind.NAMES, Kind.VALUES, Kind.WORDS, Kind.SOURCES})


def of_value(field: dict[str, Any], old: Any, new: Any) -> Kind:
    """Return what another value of a field means."""
    change = field.get("change", Kind.VALUES)
    if isinstance(change, str):
        return Kind(change)
    step = _step(change, field, old, new)
    if step == 0:
        return Kind.VALUES
    if step < 0:
        return Kind.STRICTER
    return Kind.EASED if (old or "") in change.get("eased_from", ()) else Kind(change.get("milder", Kind.MILDER))


def of_row(schema: dict[str, Any], old: dict[str, Any] | None, new: dict[str, Any] | None) -> Kind:
    """Return what a new row or a lost one means; with ``by``, a field of it decides."""
    change = schema["change"]
    usual = Kind(change["new"] if old is None else change["gone"])
    if "by" not in change:
        return usual
    (field,) = (each for each in schema["fields"] if each["name"] == change["by"])
    kind = of_value(field, (old or {}).get(change["by"]), (new or {}).get(change["by"]))
    return usual if kind is Kind.STRICTER and old is None else kind


def _step(change: dict[str, Any], field: dict[str, Any], old: Any, new: Any) -> int:
    """Return 1 for a step towards milder, -1 towards stricter, 0 where it cannot be said."""
    order = change["strictest"]
    if order in ("most", "least"):
        return _step_in_size(old, new, 1 if order == "most" else -1)
    if order == "vocabulary":
        words = field["constraints"]["enum"]
        order = [*words, ""] if change.get("nothing") == "mildest" else ["", *words]
    ranks = [order.index(each or "") if (each or "") in order else -1 for each in (old, new)]
    return 1 if ranks[1] > ranks[0] else -1


def _step_in_size(old: Any, new: Any, sign: int) -> int:
    """Compare numbers, or lists in a cell; a list that both lost and gained was made milder."""
    if isinstance(old, str) or isinstance(new, str):
        lost = set((old or "").split(BETWEEN)) - set((new or "").split(BETWEEN)) - {""}
        return sign if lost else -sign
    if old is None or new is None:
        return 0
    return sign if new < old else -sign
