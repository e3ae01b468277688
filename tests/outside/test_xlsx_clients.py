"""The workbook, read by programs that are not ours.

Sources: openpyxl (PyPI, MIT), which reads Office Open XML by itself (ECMA-376); pandas (PyPI, BSD) through openpyxl.
"""

from __future__ import annotations

import io
from datetime import datetime

import openpyxl
import pandas as pd
import pytest

from sporeproof.release.formats.to_xlsx import path_of, to_xlsx
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition

# All rows of these are read; openpyxl takes long for the largest ones.
TABLES = ("taxa", "names", "needs", "cautions", "confusions", "measurements", "seasons", "protections", "terms")


@pytest.fixture(scope="module")
def data(real):
    return to_xlsx(real)[path_of(real)]


@pytest.fixture(scope="module")
def streamed(data):
    return openpyxl.load_workbook(io.BytesIO(data), read_only=True)


@pytest.fixture(scope="module")
def small(form):
    return content_of(edition(form), form, WORDS)


@pytest.fixture(scope="module")
def small_book(small):
    """All that openpyxl can tell of a workbook, which needs it in memory: the small edition's."""
    return openpyxl.load_workbook(io.BytesIO(to_xlsx(small)[path_of(small)]))


def test_the_sheets_are_the_two_for_people_and_the_tables(streamed, real):
    assert streamed.sheetnames == ["Read first", "species", *real.frames]


def test_openpyxl_reads_every_cell_of_the_tables(streamed, real):
    for table in TABLES:
        head, *rows = streamed[table].iter_rows(values_only=True)
        assert list(head) == real.rows[table].names
        found = [tuple(each.date() if isinstance(each, datetime) else each for each in row) for row in rows]
        assert found == list(real.rows[table].cells()), table


def test_no_cell_is_a_formula_a_link_or_an_error(small_book):
    kinds = set()
    for sheet in small_book:
        assert not sheet._hyperlinks
        kinds |= {cell.data_type for row in sheet.iter_rows() for cell in row}
    assert kinds == {"s", "n", "b"}


def test_heads_are_frozen_filtered_and_explained(small_book, small):
    for sheet in small_book:
        assert sheet.freeze_panes == "B2"
        assert sheet.auto_filter.ref.startswith("A1:")
        assert sheet.sheet_state == "visible"
    for table, schema in small.form.tables.items():
        for place, field in enumerate(schema["fields"], 1):
            assert field["description"] in small_book[table].cell(1, place).comment.text


def test_every_enumerated_column_offers_its_words(small_book, small):
    words = [cell.value for cell in small_book["terms"]["B"]]
    seen = 0
    for table, schema in small.form.tables.items():
        offered = {str(each.sqref)[0]: each.formula1 for each in small_book[table].data_validations.dataValidation}
        enums = [
            ("ABCDEFGHIJKLMNO"[at], each["constraints"]["enum"])
            for at, each in enumerate(schema["fields"])
            if "enum" in each.get("constraints", {})
        ]
        if not small.frames[table].height:
            continue
        assert offered.keys() == {letter for letter, _ in enums}, table
        for letter, enum in enums:
            formula = offered[letter]
            if formula.startswith('"'):
                assert formula == f'"{",".join(enum)}"'
                continue
            first, last = (int(each.rpartition("$")[2]) for each in formula.partition("!")[2].split(":"))
            assert sorted(enum) == words[first - 1 : last]
            seen += 1
    assert seen >= 2


def test_pandas_reads_the_sheet_of_species(data, real):
    frame = pd.read_excel(io.BytesIO(data), sheet_name="species", engine="openpyxl")
    assert set(frame["id"]) == set(real.taxa)
    assert frame["verdict"].notna().all()
    assert frame["can be taken for"].notna().all()
