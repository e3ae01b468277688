"""The faults in the form of a name, with where each stands: asked by the rules of the family ``name``."""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.findings import Mark
from sporeproof.form.load import Form
from sporeproof.names.outcome import Use
from sporeproof.names.parse import Fault, faults

OF_AUTHORS = frozenset({"authorship-form", "autonym-with-author"})


def faults_of(use: Use, form: Form, kind: str) -> Iterator[tuple[Mark, Fault]]:
    """Yield place and fault of one kind; a name that is listed as a misspelling may be spelt as it is.

    A former name says its own rank, save that of a genus or group, which was one before.
    """
    if form.flagged("name-roles", use.name.role, "misspelt"):
        return
    rank = use.entry.rank
    own = use.is_current or form.flagged("ranks", rank, "collective")
    held = use.outcome.is_held(form)
    for fault in faults(use.name.name, use.name.authorship, rank if own else "", form.folder, held=held):
        if fault.kind == kind:
            yield (_at_authorship(use) if kind in OF_AUTHORS else use.at), fault


def _at_authorship(use: Use) -> Mark:
    return use.entry.at(*use.name.path[:-1], "authorship")
