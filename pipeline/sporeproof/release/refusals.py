"""Why a release is refused or cannot be made, in sentences for the person who asked for it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from sporeproof.findings import plain

if TYPE_CHECKING:
    from sporeproof.form.load import Form
    from sporeproof.tables.faults import Fault

MOST_LISTED = 50


class ReleaseError(Exception):
    """A package cannot be read or written; the message is one sentence that says why and what to do."""


class Refused(Exception):
    """The tables may not be published; ``reasons`` says why, a sentence each."""

    def __init__(self, reasons: Iterable[str]) -> None:
        self.reasons = list(reasons)
        super().__init__("\n".join(self.reasons))


SENTENCES = {
    "type": "`{value}` is not {type}",
    "required": "this cell is empty, and it must not be",
    "enum": "`{value}` is not a word that this column knows",
    "pattern": "`{value}` does not have the form of this column, {pattern}",
    "minimum": "{value} is less than the least that is allowed, {minimum}",
    "maximum": "{value} is more than the most that is allowed, {maximum}",
    "primary-key": "`{value}` stands in a row before this one or is empty, and each row has a key of its own",
    "foreign-key": "`{value}` leads to no row of another table, and it must lead to one",
    "formula-prefix": "a spreadsheet would run `{value}` as a formula; let it begin with a word",
    "control-character": "`{value}` holds a sign that cannot be seen, such as a tab or a line break; "
    "write it on one line of plain text",
    "missing-column": "this column is missing",
    "unknown-column": "the schema knows no such column",
    "missing-table": "it leads to the table {value}, which is missing",
}
TYPES = {
    "string": "text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
    "date": "a day such as 2026-11-25",
}


def sentence(fault: Fault, form: Form) -> str:
    """Return a fault in words: table, row, column, what is wrong there."""
    fields = {each["name"]: each for each in form.tables[fault.table]["fields"]}
    field = fields.get(fault.column, {"type": "string"})
    limits = {"pattern": "", "minimum": "", "maximum": "", **field.get("constraints", {})}
    words = {**limits, "value": plain(fault.value), "type": TYPES[field["type"]]}
    where = f"{fault.table}, row {fault.row}" if fault.row else fault.table
    return f"{where}, {fault.column}: {SENTENCES[fault.kind].format(**words)}."


def sentences(faults: list[Fault], form: Form) -> list[str]:
    """Return the first faults in words, and how many more there are."""
    listed = [sentence(each, form) for each in faults[:MOST_LISTED]]
    more = len(faults) - len(listed)
    return [*listed, f"And {more} more like these."] if more else listed
