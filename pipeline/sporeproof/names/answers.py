"""Answers from checklists, wherever they come from, and the recorded ones in ``dataset/names.csv``.

Whatever answers (a recorded file, the live service, a downloaded backbone) gives :class:`Answer` objects; the
outcome is decided from those alone, so that every way of asking is judged by the same rules.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Protocol

from sporeproof.findings import Mark, Trouble
from sporeproof.tables.resolve import spelled
from sporeproof.text.files import fetch, name_of


@dataclass(frozen=True, slots=True)
class Answer:
    """What one checklist said of one name, on one day. All fields are text as recorded; empty where not given.

    ``obtained`` is live, backbone-file, registry-taxonomy or compiled (from general knowledge, unconfirmed).
    ``candidates`` are the accepted names of a split or a homonym, joined with "; ". ``asked_rank`` is the rank that
    was asked for, as the checklist calls it. ``line`` and ``cells`` tell where and how wide it stands on record.
    """

    name: str
    authorship: str = ""
    outcome: str = ""
    accepted_name: str = ""
    accepted_authorship: str = ""
    obtained: str = ""
    checklist_key: str = ""
    checklist_title: str = ""
    usage_key: str = ""
    accepted_key: str = ""
    match_type: str = ""
    confidence: str = ""
    checked_on: str = ""
    checklist_release: str = ""
    candidates: str = ""
    asked_rank: str = ""
    line: int = 0
    cells: int = 0


RECORD = "dataset/names.csv"
COLUMNS = tuple(each.name for each in fields(Answer) if each.name not in {"line", "cells"})
# Records were once kept without the columns behind this one; they are still read.
LAST_OF_OLD = "checked_on"
FEWEST = COLUMNS.index(LAST_OF_OLD) + 1


def place_of(answer: Answer, column: str) -> Mark:
    """Return where a recorded answer says something, as :func:`written` lays out its row."""
    before = [getattr(answer, each) for each in COLUMNS[: COLUMNS.index(column)]]
    whole = _row(getattr(answer, each) for each in COLUMNS[: answer.cells or None])
    start = len(_row(before)) + 1 if before else 0
    return Mark(RECORD, answer.line, start + 1, max(len(getattr(answer, column)), 1), whole)


def _row(cells: Iterable[str]) -> str:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


class Source(Protocol):
    """Anything that answers names: the recorded file today, the live service and a backbone later."""

    def asked(self, name: str, authorship: str) -> list[Answer]:
        """Return every answer on a name; one without an authorship answers any."""
        ...


class Recorded:
    """Answers on record, by name."""

    def __init__(self, answers: Iterable[Answer]) -> None:
        self._by_name: dict[str, list[Answer]] = {}
        for each in answers:
            self._by_name.setdefault(spelled(each.name), []).append(each)

    def asked(self, name: str, authorship: str) -> list[Answer]:
        """Return the answers on a name, those for another authorship left out."""
        found = self._by_name.get(spelled(name), [])
        return [each for each in found if same_authors(each.authorship, authorship)]

    def all(self) -> list[Answer]:
        """Return every answer, in the order of the record."""
        return [each for answers in self._by_name.values() for each in answers]


def same_authors(one: str, other: str) -> bool:
    """Tell whether two author citations may be the same: either is missing, or they differ by spacing only."""
    return not one or not other or "".join(one.split()) == "".join(other.split())


def read_answers(path: Path, root: Path) -> tuple[Recorded, list[Trouble]]:
    """Return the recorded answers and what is wrong with their file; an absent file holds none."""
    if not path.exists() and not path.is_symlink():
        return Recorded([]), []
    data = fetch(path, root, most=MOST_ANSWERS)
    if isinstance(data, Trouble):
        return Recorded([]), [data]
    if len(data) > MOST_ANSWERS:
        too_large = f"it is larger than {MOST_ANSWERS // 1024**2} MB"
        return Recorded([]), [Trouble("not-readable", Mark(name_of(path, root)), (too_large,))]
    return parse_answers(data, name_of(path, root))


# A record of answers may grow with the names of a large checklist.
MOST_ANSWERS = 64 * 1024 * 1024


def parse_answers(data: bytes, file: str) -> tuple[Recorded, list[Trouble]]:
    """Return the answers in a CSV file's bytes; a line that does not fit is a trouble and is left out."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        return Recorded([]), [Trouble("not-utf8", Mark(file, line, 1), (f"0x{data[error.start]:02x}",))]
    rows = csv.reader(io.StringIO(text, newline=""))
    answers: list[Answer] = []
    troubles: list[Trouble] = []
    try:
        header = next(rows, [])
        width = len(header)
        if width < FEWEST or tuple(header) != COLUMNS[:width]:
            return Recorded([]), [Trouble("answers-header", Mark(file, 1, 1, 1, ",".join(header)), COLUMNS)]
        for row in rows:
            if len(row) == width:
                said = dict(zip(COLUMNS, row, strict=False))
                answers.append(Answer(**said, line=rows.line_num, cells=width))
            elif row:
                troubles.append(
                    Trouble("answers-row", Mark(file, rows.line_num, 1, 1, ",".join(row)), (str(len(row)),))
                )
    except csv.Error as error:
        troubles.append(Trouble("answers-row", Mark(file, rows.line_num, 1), (str(error),)))
    return Recorded(answers), troubles


def written(answers: Iterable[Answer]) -> bytes:
    """Return the answers as the bytes of a record, sorted by name and by how they were obtained."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    rows = (tuple(getattr(each, column) for column in COLUMNS) for each in answers)
    writer.writerows(sorted(rows))
    return out.getvalue().encode("utf-8")
