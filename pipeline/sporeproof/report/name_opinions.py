"""What several checklists say of one name, side by side, where they disagree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.report.json_text import json_text
from sporeproof.report.summary import counted

SCHEMA = 1
HEAD = ("obtained", "checklist", "release", "outcome", "accepted name", "asked on")
SPEAKS, SILENT = "> ", "  "
NONE = "-"


@dataclass(frozen=True, slots=True)
class Borne:
    """Where a name stands: the taxon, its current name, what the name is to it, and the place."""

    taxon_id: str
    taxon: str
    role: str
    file: str
    line: int


@dataclass(frozen=True, slots=True)
class Said:
    """What one checklist said of a name; ``accepted`` holds the names it may be where it is not one. Texts throughout.

    ``speaks`` tells whether this answer decides what the dataset makes of the name, ``unconfirmed`` whether it comes
    from general knowledge only.
    """

    obtained: str
    checklist: str
    release: str
    outcome: str
    accepted: str
    asked_on: str
    speaks: bool = False
    unconfirmed: bool = False


@dataclass(frozen=True, slots=True)
class Contested:
    """A name on which the answers disagree, where it is borne, and every answer, the one that speaks first."""

    name: str
    authorship: str
    borne: tuple[Borne, ...]
    answers: tuple[Said, ...]


def opinions_text(names: Sequence[Contested], asked: int, unread: str = "") -> str:
    """Return the names as one aligned table, a line for each answer; whoever prints it adds the safety note.

    ``asked`` is how many names have more than one answer; ``unread`` says what could not be read, if anything.
    """
    lines = _table(names) if names else [f"No answers disagree; {counted(asked, 'name')} with more than one answer."]
    if names:
        lines += ["", f"The answers disagree on {counted(len(names), 'name')}. `{SPEAKS.strip()}` marks the one that"]
        lines[-1] += " speaks: the newest of the firmest kind. The others are second opinions and change nothing."
    return "\n".join(map(plain, [*lines, *([unread] if unread else [])])) + "\n"


def _table(names: Sequence[Contested]) -> list[str]:
    rows = [HEAD, *(_cells(each) for name in names for each in name.answers)]
    widths = [max(len(row[at]) for row in rows) for at in range(len(HEAD))]
    lines = [_line(SILENT, HEAD, widths)]
    for each in names:
        places = "; ".join(f"{b.role} name of {b.taxon} ({b.file}:{b.line})" for b in each.borne)
        lines += ["", f"{each.name} {each.authorship}".strip() + f", {places}"]
        lines += [_line(SPEAKS if said.speaks else SILENT, _cells(said), widths) for said in each.answers]
    return lines


def _cells(said: Said) -> tuple[str, ...]:
    obtained = f"{said.obtained}, unconfirmed" if said.unconfirmed else said.obtained
    cells = (obtained, said.checklist, said.release, said.outcome, said.accepted, said.asked_on)
    return tuple(plain(each) or NONE for each in cells)


def _line(mark: str, cells: Sequence[str], widths: Sequence[int]) -> str:
    return mark + "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()


def opinions_json(names: Sequence[Contested], asked: int, unread: str = "") -> str:
    """Return the same as JSON. The keys are a contract: they change only with the number under ``schema``.

    ``names``: each with ``borne`` (``taxon_id``, ``taxon``, ``role``, ``file``, ``line``) and ``answers``
    (``obtained``, ``checklist``, ``release``, ``outcome``, ``accepted``, ``asked_on``, ``speaks``, ``unconfirmed``),
    the one that speaks first. ``asked``: how many names have more than one answer. ``unread``: what is
    missing here, in words.
    """
    told = [asdict(each) for each in names]
    return json_text({"schema": SCHEMA, "asked": asked, "names": told, "unread": unread, "safety_note": SAFETY_NOTE})
