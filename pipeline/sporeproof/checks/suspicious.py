"""How the rules on suspects name them, and where in an entry they point."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from sporeproof.findings import Mark
from sporeproof.records.entry import Entry

if TYPE_CHECKING:
    from sporeproof.confusion.screen import Bits
    from sporeproof.confusion.suspected import Suspected

# So many are named, the deadly first; the others are counted.
NAMED = 60


def named(suspected: Suspected, bits: Bits) -> str:
    """Return the names of some suspects by verdict: `Galerina marginata, Pholiotina rugosa (deadly), ...`."""
    told = suspected.named(bits, NAMED)
    more = bits.bit_count() - len(told)
    by_verdict = (f"{', '.join(each.name for each in same)} ({verdict})" for verdict, same in groupby(told, _verdict))
    return ", ".join(by_verdict) + (f" and {more} more" if more else "")


def _verdict(entry: Entry) -> str:
    return entry.verdict


def confusions_at(entry: Entry) -> Mark:
    """Return where an entry lists its confusions, or its name where it lists none."""
    return entry.at_key("confusions") if entry.confusions else entry.at("name")
