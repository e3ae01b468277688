"""A proof is never published without what it does not exclude."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sporeproof.form.load import Form
from sporeproof.tables.faults import Frames


def unsaid(made: Frames, form: Form) -> Iterator[str]:
    """Yield a sentence for each taxon whose proof in the field is silent of a suspect that falls short there.

    What falls short by all that can be seen in the field stands in ``confusions``; no list of things to look at can
    do more than all of them.
    """
    field = next(iter(form.vocabularies["levels"]))
    proven = set(made["proofs"]["taxon_id"])
    told = {(row["taxon_id"], row["with_taxon_id"]) for row in _rows(made, "unexcluded") if row["level"] == field}
    names = dict(zip(made["taxa"]["taxon_id"], made["taxa"]["name"], strict=True))
    for row in _rows(made, "confusions"):
        one, other = row["taxon_id"], row["with_taxon_id"]
        is_short = row["required"] is not None and row["separators"] < row["required"]
        if one in proven and is_short and (one, other) not in told:
            yield (
                f"The proof of {names[one]} does not say that {names[other]} is not excluded. "
                "The rows of `proofs` may not be published without those of `unexcluded`."
            )


def _rows(made: Frames, table: str) -> Iterator[dict[str, Any]]:
    return made[table].iter_rows(named=True)
