"""The workbook: a row that a person can act on, every cell of every table, and what a received one says otherwise."""

from __future__ import annotations

import dataclasses
import io
import os
import re
import tempfile
import time
import zipfile
from datetime import date

import openpyxl
import polars as pl
import pytest

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.formats.to_xlsx import amiss, path_of, paths, to_xlsx
from sporeproof.release.formats.xlsx_parts import sheets as laid
from sporeproof.release.formats.xlsx_parts.sheets import sheets
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition
from tests.release.formats.spoiled import damaged, hidden, locked, members, zipped

PATH = "fernhollow-data.xlsx"


@pytest.fixture(scope="module")
def files(small):
    return to_xlsx(small)


def part_of(content, name: str) -> str:
    """The path of a sheet in the archive."""
    return f"xl/worksheets/sheet{[each.name for each in sheets(content)].index(name) + 1}.xml"


def spoilt(files, content, sheet: str, old: str, new: str) -> dict[str, bytes]:
    """The workbook after one replacement in the text of a sheet."""
    held, part = members(files[PATH]), part_of(content, sheet)
    text = held[part].decode()
    assert old in text
    return {PATH: zipped(held | {part: text.replace(old, new, 1).encode()})}


def rows_of(content, sheet: str) -> list[dict]:
    found = next(each for each in sheets(content) if each.name == sheet)
    return [dict(zip([each.name for each in found.columns], row, strict=True)) for row in found.rows()]


def test_the_same_content_gives_the_same_bytes(small, files):
    assert to_xlsx(small) == files
    assert list(files) == paths(small) == [path_of(small)] == [PATH]


def test_neither_time_zone_nor_rights_of_files_show(small, files, monkeypatch, tmp_path):
    monkeypatch.setenv("TZ", "Pacific/Chatham")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    old = os.umask(0o077)
    time.tzset()
    try:
        assert to_xlsx(small) == files
    finally:
        os.umask(old)
        monkeypatch.undo()
        time.tzset()
    assert not list(tmp_path.iterdir())
    marks = {(each.date_time, each.create_system, each.external_attr >> 16) for each in _parts(files)}
    assert marks == {((1980, 1, 1, 0, 0, 0), 3, 0o100644)}


def test_a_row_of_a_species_bears_all_that_its_verdict_hangs_on(small):
    row = next(each for each in rows_of(small, "species") if each["id"] == "F9001")
    terms = {key[1]: term for key, term in small.terms.items()}
    for need in ("cook-thoroughly", "discard-stems"):
        assert terms[need]["definition"] in row["needs"]
    for caution in ("deadly-confusion", "raw-upsets"):
        assert terms[caution]["definition"] in row["cautions"]
    assert row["verdict"].startswith(terms["edible-with-conditions"]["title"])
    assert "mature" in row["accept only"]
    assert "30 to 70 mm" in row["accept only"]
    assert row["can be taken for"] == "Fictum letale (deadly; unreviewed)"
    assert row["review"].startswith("Unreviewed")
    assert (row["English names"], row["other names"]) == ("Common Fiction", "Fictum vulgare (former)")


def test_nothing_recorded_never_reads_as_safe(small):
    row = next(each for each in rows_of(small, "species") if each["id"] == "F9005")
    for column in ("needs", "cautions", "can be taken for"):
        assert "does not mean that there" in row[column]
    assert "clears nothing" in row["grade"]


def test_every_real_taxon_has_its_row_and_every_danger_stands_in_it(real):
    rows = {row["id"]: row for row in rows_of(real, "species")}
    assert rows.keys() == real.taxa.keys()
    for each in real.rows["confusions"]:
        if each["listed"] == "dismissed":
            continue
        for one, other in ((each["taxon_id"], each["with_taxon_id"]), (each["with_taxon_id"], each["taxon_id"])):
            assert f"{real.taxa[other]['name']} (" in rows[one]["can be taken for"]


def test_what_to_read_first_says_how_well_it_is_known(small):
    said = {row["Read first"]: row[WORDS["title"]] for row in rows_of(small, "Read first")}
    assert said["Safety"] == SAFETY_NOTE
    assert said["Reviewed by a person"] == "Unreviewed: 5; Reviewed: 0; of 5 taxa."
    assert "never means safe" in said["An empty cell"]
    assert said["Version"] == small.version


def test_the_real_one_holds_every_cell(real):
    assert list(amiss(to_xlsx(real), real)) == []


SPOILT = {
    "a flipped cell": ("taxa", ">deadly</t>", ">edible</t>", "the sheet taxa, row 3: G3 says `edible` where"),
    "a cell more": ("needs", "</row></sheetData>", '<c r="C3"><v>1</v></c></row></sheetData>', "C3 says `1` where"),
    "a formula": ("taxa", ' t="inlineStr"><is><t>F9001</t></is>', "><f>1+1</f>", "holds a formula"),
    "a formula in a head": ("taxa", ' t="inlineStr"><is><t>taxon_id</t></is>', "><f>1+1</f>", "holds a formula"),
    "a hidden column": ("species", '<col min="6"', '<col hidden="1" min="6"', "has other heads"),
    "a hidden row": ("species", '<row r="2"', '<row hidden="1" r="2"', "hidden or shaped"),
    "another style": ("taxa", '<c r="A2" t=', '<c r="A2" s="1" t=', "row 2: A2 says `F9001`"),
    "another choice": ("taxa", "unreviewed,", "unreviewed,certain,", "has other heads"),
    "a link": ("taxa", "<sheetData>", '<hyperlinks><hyperlink ref="A1" r:id="rId9"/></hyperlinks><sheetData>', "heads"),
    "an entity": ("taxa", "<worksheet", '<!DOCTYPE x [<!ENTITY a "b">]><worksheet', "document type"),
    "broken XML": ("taxa", "</sheetData>", "", "cannot be read"),
}


@pytest.mark.parametrize("how", SPOILT)
def test_what_was_changed_in_it_is_told(files, small, how):
    sheet, old, new, words = SPOILT[how]
    said = list(amiss(spoilt(files, small, sheet, old, new), small))
    assert any(words in each for each in said), said


def test_a_dropped_and_an_added_row_are_told(files, small):
    text = members(files[PATH])[part_of(small, "needs")].decode()
    last = re.findall(r"<row .*?</row>", text)[-1]
    number = int(re.search(r'r="(\d+)"', last)[1])
    more = last.replace(f'r="{number}"', f'r="{number + 1}"').replace(f'{number}" t', f'{number + 1}" t')
    gone, added = (spoilt(files, small, "needs", last, new) for new in ("", last + more))
    assert list(amiss(gone, small)) == [f"{PATH}: the sheet needs has fewer than its 2 rows."]
    assert list(amiss(added, small)) == [f"{PATH}: the sheet needs has more than its 2 rows."]


def test_the_workbook_of_another_edition_is_told(files, form):
    def change(e):
        e.entries["F9001"]["edibility"]["needs"] = ["cook-thoroughly"]

    said = list(amiss(files, content_of(edition(form, change), form, WORDS)))
    assert any("the sheet needs has more than its 1 rows" in each for each in said), said
    assert any("the sheet species, row" in each for each in said), said


def test_swapped_sheets_are_told(files, small):
    held = members(files[PATH])
    one, other = (part_of(small, each) for each in ("needs", "cautions"))
    said = list(amiss({PATH: zipped(held | {one: held[other], other: held[one]})}, small))
    assert sum("the sheet needs" in each or "the sheet cautions" in each for each in said) >= 2


def test_what_cannot_be_read_is_a_sentence(files, small):
    assert list(amiss({}, small)) == [f"{PATH} is missing."]
    whole = files[PATH]
    held = members(whole)
    part = part_of(small, "taxa")
    hostile = {
        b"": "cannot be read",
        b"not a workbook": "cannot be read",
        whole[: len(whole) // 2]: "cannot be read",
        hidden(whole): "hidden",
        locked(whole): "password",
        damaged(whole): "",
        zipped(held | {"xl/vbaProject.bin": b"x"}): "vbaProject.bin",
        zipped({name: data for name, data in held.items() if name != part}): f"{part} is missing",
        zipped(held | {"xl/styles.xml": b"<x/>"}): "xl/styles.xml in it is not as",
        zipped(held | {part: held[part].replace(b"</is>", b"</is>" + b" " * (64 << 20), 1)}): "much more than its rows",
    }
    for data, words in hostile.items():
        said = list(amiss({PATH: data}, small))
        assert any(words in each for each in said), (words, said)
        assert all(each.startswith(PATH) for each in said)
        assert len(said) <= 20


def test_a_text_that_no_cell_can_hold_stands_whole_in_parts(small):
    note = "Fictum, " * 9_000 + "the deadly one last"
    frame = small.frames["confusions"].with_columns(note=pl.lit(note))
    content = dataclasses.replace(small, frames=small.frames | {"confusions": frame})
    files = to_xlsx(content)
    assert list(amiss(files, content)) == []
    book = openpyxl.load_workbook(io.BytesIO(files[PATH]), read_only=True)
    parts = [row for row in book["long texts"].iter_rows(min_row=2, values_only=True) if row[0] == 1]
    assert "".join(row[4] for row in parts) == note
    cell = next(row[3] for row in book["confusions"].iter_rows(min_row=2, values_only=True))
    assert cell.endswith("number 1.")


def test_a_table_longer_than_a_sheet_goes_on_in_another(small, monkeypatch):
    monkeypatch.setattr(laid, "MOST_ROWS", 10)
    files = to_xlsx(small)
    assert list(amiss(files, small)) == []
    book = openpyxl.load_workbook(io.BytesIO(files[PATH]), read_only=True)
    names = [name for name in book.sheetnames if re.fullmatch(r"terms( \d+)?", name)]
    found = [row[1] for name in names for row in book[name].iter_rows(min_row=2, values_only=True)]
    assert len(names) > 10
    assert found == [row["id"] for row in small.rows["terms"]]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "https://example.org", "{=A1}", "<r><t>x</t></r>",
                                  "_x0041_", "a\tb\nc", "0012", "TRUE", "&amp; <b>"])  # fmt: skip
def test_no_text_becomes_anything_else(small, text):
    frame = small.frames["taxa"].with_columns(family=pl.lit(text))
    content = dataclasses.replace(small, frames=small.frames | {"taxa": frame})
    files = to_xlsx(content)
    assert list(amiss(files, content)) == []
    book = openpyxl.load_workbook(io.BytesIO(files[PATH]))
    at = content.rows["taxa"].names.index("family") + 1
    cell = book["taxa"].cell(2, at)
    assert (cell.data_type, openpyxl.utils.escape.unescape(cell.value).rstrip()) == ("s", text)
    assert all(not part.file_size or "externalLink" not in part.filename for part in _parts(files))


def _parts(files) -> list[zipfile.ZipInfo]:
    return zipfile.ZipFile(io.BytesIO(files[PATH])).infolist()


def test_days_are_days(form):
    def change(e):
        e.entries["F9001"]["review"] = {"state": "reviewed", "by": "MM", "on": "2026-11-26", "of": "0" * 64}

    content = content_of(edition(form, change), form, WORDS)
    book = openpyxl.load_workbook(io.BytesIO(to_xlsx(content)[PATH]))
    cell = book["taxa"].cell(2, content.rows["taxa"].names.index("reviewed_on") + 1)
    assert (cell.value.date(), cell.number_format) == (date(2026, 11, 26), "yyyy-mm-dd")
