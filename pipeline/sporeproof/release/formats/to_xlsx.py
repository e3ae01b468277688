"""A spreadsheet for people: what to read first, each taxon in words, and every table as a sheet."""

from __future__ import annotations

import io
import zipfile
from collections import Counter
from collections.abc import Iterator
from itertools import islice, zip_longest
from typing import Any
from xml.parsers import expat

from sporeproof.findings import plain
from sporeproof.release.content import Content, Files
from sporeproof.release.formats.xlsx_parts.read import Cell, Odd, Reading, styles
from sporeproof.release.formats.xlsx_parts.sheets import Cells, Sheet, sheets
from sporeproof.release.formats.xlsx_parts.written import as_day, as_text, workbook
from sporeproof.release.formats.zipped import END, HEADS, SPARE, TORN

MOST_TOLD = 20
# Rows of a sheet that differ are told one by one up to here.
MOST_OF_SHEET = 3
LONGEST_SHOWN = 60
# What a cell may take beside its text: marks, place, style, number. A sign of a text may need six bytes (`&quot;`).
MARKS, SIGN = 120, 7
ENCRYPTED = 0x1 | 0x40
METHODS = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [path_of(content)]


def path_of(content: Content) -> str:
    """Return the path of the workbook in a release."""
    return f"{content.words['name']}.xlsx"


def to_xlsx(content: Content) -> Files:
    """Return the workbook: heads frozen, filters set, texts only ever as texts, days as days."""
    return {path_of(content): workbook(sheets(content), content.words["title"])}


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each thing that the workbook lacks, adds or says otherwise than the tables.

    All but the cells must be as a release writes it: hidden columns, formats and links can make true cells lie.
    """
    path = path_of(content)
    if path not in files:
        yield f"{path} is missing."
        return
    try:
        with zipfile.ZipFile(io.BytesIO(files[path])) as archive:
            found = islice(_amiss(archive, len(files[path]), content), MOST_TOLD)
            yield from (f"{path}: {each}." for each in found)
    except TORN as error:
        yield f"{path} cannot be read as a workbook: {plain(str(error) or type(error).__name__)[:200]}."


def _amiss(archive: zipfile.ZipFile, size: int, content: Content) -> Iterator[str]:
    ours = sheets(content)
    with zipfile.ZipFile(io.BytesIO(workbook(ours, content.words["title"], with_rows=False))) as bare:
        odd = list(_odd(archive, size, bare.namelist()))
        yield from odd
        if odd:
            return
        there = {f"xl/worksheets/sheet{number}.xml": sheet for number, sheet in enumerate(ours, 1)}
        for name in bare.namelist():
            if name in there:
                yield from islice(_of_sheet(archive, bare, name, there[name]), MOST_OF_SHEET)
            elif _read(archive, name, bare.getinfo(name).file_size + 1) != bare.read(name):
                yield f"{name} in it is not as a release writes it"


def _odd(archive: zipfile.ZipFile, size: int, wanted: list[str]) -> Iterator[str]:
    """Yield what no workbook of a release has: other members, missing ones, hidden bytes, a password."""
    listed = archive.infolist()
    names = Counter(each.orig_filename for each in listed)
    for name, count in (names - Counter(wanted)).items():
        yield f"it holds `{plain(name)[:80]}`{'' if name not in wanted else f' {count + 1} times'}, not in its place"
    for name in Counter(wanted) - names:
        yield f"{name} is missing in it"
    for each in listed:
        if each.flag_bits & ENCRYPTED or each.compress_type not in METHODS:
            yield f"`{plain(each.orig_filename)[:80]}` is locked with a password, or packed in an unusual way"
    told = sum(HEADS + 2 * len(each.orig_filename.encode()) + each.compress_size for each in listed) + END
    if told != size:
        yield f"it has {size} bytes where its parts make {told}: something is hidden in it, or missing"


def _read(archive: zipfile.ZipFile, name: str, most: int) -> bytes:
    with archive.open(name) as stream:
        return stream.read(most)


def _of_sheet(archive: zipfile.ZipFile, bare: zipfile.ZipFile, name: str, sheet: Sheet) -> Iterator[str]:
    with bare.open(name) as stream:
        ours = Reading(stream, bare.getinfo(name).file_size)
        list(ours.rows())
    most = bare.getinfo(name).file_size + SIGN * sheet.weight + MARKS * sheet.height * (len(sheet.columns) + 1) + SPARE
    with archive.open(name) as stream:
        reading = Reading(stream, most)
        try:
            rows = reading.rows()
            yield from _rows(rows, sheet, styles(ours.frame))
            for _ in rows:
                pass
        except (Odd, expat.ExpatError) as error:
            said = str(error) if isinstance(error, Odd) else f"cannot be read: {plain(str(error))}"
            yield f"the sheet {sheet.name} {said}"
            return
    if reading.frame != ours.frame:
        yield f"the sheet {sheet.name} has other heads, widths, filters or choices than a release writes"


def _rows(found_rows: Iterator[tuple[str, list[Cell]]], sheet: Sheet, styled: dict[int, str]) -> Iterator[str]:
    letters = [_letters(place) for place in range(len(sheet.columns))]
    kinds = [each.kind for each in sheet.columns]
    told = 0
    for number, (found, wanted) in enumerate(zip_longest(found_rows, sheet.rows()), 2):
        if found is None or wanted is None:
            yield f"the sheet {sheet.name} has {'fewer' if found is None else 'more'} than its {sheet.height} rows"
            return
        ours = _cells(wanted, number, letters, kinds, styled)
        if found != (str(number), ours) and told < MOST_OF_SHEET:
            told += 1
            yield f"the sheet {sheet.name}, row {number}: {_differing(found, ours)}"


def _cells(cells: Cells, number: int, letters: list[str], kinds: list[str], styled: dict[int, str]) -> list[Cell]:
    """Return what the cells of a row are in the file, those that are empty left out."""
    return [
        (f"{letters[place]}{number}", *_written(cell, kinds[place], styled.get(place, "")))
        for place, cell in enumerate(cells)
        if cell is not None
    ]


def _written(cell: Any, kind: str, style: str) -> tuple[str, str, str]:
    if kind == "string":
        return "inlineStr", style, as_text(cell)
    if kind == "boolean":
        return "b", style, str(int(cell))
    return "n", style, f"{as_day(cell) if kind == 'date' else cell:.16G}"


def _differing(found: tuple[str, list[Cell]], ours: list[Cell]) -> str:
    there, here = ({cell[0]: cell[1:] for cell in row} for row in (found[1], ours))
    for place in [*here, *(each for each in there if each not in here)]:
        if there.get(place) != here.get(place):
            said, wanted = (_shown(each.get(place)) for each in (there, here))
            return f"{plain(place)[:10]} says {said} where the tables say {wanted}"
    return "its cells or its number are not in their place"


def _shown(cell: tuple[str, str, str] | None) -> str:
    return f"`{plain(cell[2])[:LONGEST_SHOWN]}`" if cell else "nothing"


def _letters(place: int) -> str:
    """Return the letters of a column, counted from 0.

    >>> _letters(0), _letters(25), _letters(26)
    ('A', 'Z', 'AA')
    """
    before, rest = divmod(place, 26)
    return (_letters(before - 1) if before else "") + chr(ord("A") + rest)
