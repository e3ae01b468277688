"""Sheets written as a workbook: no formula, no link, nothing that tells when or where it was made."""

from __future__ import annotations

import io
import shutil
import zipfile
from datetime import date, datetime
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.formats.xlsx_parts.sheets import LONGEST_TEXT, Column, Sheet
from sporeproof.release.formats.zipped import DAY, PLAIN_FILE, UNIX

CREATED = datetime(*DAY)
OPTIONS = {
    "constant_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}
LOOKS: dict[str, dict[str, Any]] = {
    "head": {"bold": True, "bg_color": "#E0E0E0", "text_wrap": True, "valign": "top"},
    "date": {"num_format": "yyyy-mm-dd"},
    "wrapped": {"text_wrap": True, "valign": "top"},
}


def workbook(sheets: list[Sheet], title: str, with_rows: bool = True) -> bytes:
    """Return the bytes of a workbook; without rows it has all but the cells below the heads."""
    out = io.BytesIO()
    with Workbook(out, OPTIONS) as book:
        book.set_properties({"title": title, "comments": SAFETY_NOTE, "created": CREATED})
        looks = {name: book.add_format(look) for name, look in LOOKS.items()}
        for sheet in sheets:
            _write(book.add_worksheet(sheet.name), sheet, looks, with_rows)
    return _packed_again(out)


def _write(into: Worksheet, sheet: Sheet, looks: dict[str, Any], with_rows: bool) -> None:
    last = len(sheet.columns) - 1
    into.freeze_panes(1, 1)
    into.autofilter(0, 0, sheet.height, last)
    for place, column in enumerate(sheet.columns):
        _set(into, place, column, sheet.height, looks)
    for place, column in enumerate(sheet.columns):
        into.write_string(0, place, column.name, looks["head"])
    if with_rows:
        _write_rows(into, sheet)


def _set(into: Worksheet, place: int, column: Column, height: int, looks: dict[str, Any]) -> None:
    """Set what holds for a whole column."""
    into.set_column(place, place, column.width, looks.get("wrapped" if column.wrapped else column.kind))
    if column.about:
        into.write_comment(0, place, column.about, {"author": "", "x_scale": 2, "y_scale": 1.5})
    if column.choices and height:
        into.data_validation(1, place, height, place, {"validate": "list", "source": column.choices})


def _write_rows(into: Worksheet, sheet: Sheet) -> None:
    kinds = [column.kind for column in sheet.columns]
    for row, cells in enumerate(sheet.rows(), 1):
        for place, cell in enumerate(cells):
            if cell is not None and _write_cell(into, row, place, cell, kinds[place]):
                raise ValueError(f"{sheet.name}, row {row}: a cell cannot be written")


def _write_cell(into: Worksheet, row: int, place: int, cell: Any, kind: str) -> int:
    """Write a cell as what its column holds, whatever it looks like; anything but 0 is a refusal."""
    match kind:
        case "string":
            refused = into.write_string(row, place, as_text(cell))
        case "boolean":
            refused = into.write_boolean(row, place, cell)
        case _:
            refused = into.write_number(row, place, as_day(cell) if kind == "date" else cell)
    return int(refused)


def as_text(cell: str) -> str:
    """Return a text as it is written: one that looks like the markup of XlsxWriter's own gets a blank behind it."""
    if cell.startswith("<r>") and cell.endswith("</r>") and len(cell) < LONGEST_TEXT:
        return f"{cell} "
    return cell


def as_day(day: date) -> int:
    """Return the number of a day: days since 1899-12-30, as spreadsheets count (ECMA-376 part 1, 18.17.4.1)."""
    return (day - date(1899, 12, 30)).days


def _packed_again(written: io.BytesIO) -> bytes:
    """Return an archive with fixed days and rights; one made from files on disk has those of the machine."""
    out = io.BytesIO()
    with zipfile.ZipFile(written) as old, zipfile.ZipFile(out, "w") as new:
        for each in old.infolist():
            member = zipfile.ZipInfo(each.filename, DAY)
            member.compress_type, member.external_attr, member.create_system = zipfile.ZIP_DEFLATED, PLAIN_FILE, UNIX
            with old.open(each) as source, new.open(member, "w") as target:
                shutil.copyfileobj(source, target, 1 << 20)
    return out.getvalue()
