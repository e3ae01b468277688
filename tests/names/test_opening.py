"""A download opens as what it is, or is refused with a clear message, nothing left behind. All names are invented."""

from __future__ import annotations

import csv
import errno
import hashlib
import io
import os
import random
import shutil
import struct
import subprocess
import sys
import warnings
import zipfile
from pathlib import Path

import duckdb
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.names.download import archives, rows, unpacking
from sporeproof.names.download.layout import SIMPLE_COLUMNS, cut
from sporeproof.names.download.opening import ALL_KINDS, Sheet, Unopened, opened
from sporeproof.names.download.rows import Tally
from tests.names import downloads
from tests.names.downloads import DWC, FIELDS, TAXA, USAGES, dwca, laid, meta, packed, simple, simple_row, zipped

CSV = "scientificName,kingdom,note\nFictum inventum,Fungi,one\nFictum falsum,Fungi,two\n"


@pytest.fixture
def opens(tmp_path):
    """Return a function that opens bytes; the folder for what is unpacked is ``tmp_path / "room"``."""
    (tmp_path / "room").mkdir()
    return lambda data, **wish: opened(laid(tmp_path, data), tmp_path / "room", **wish)


@pytest.fixture
def refuses(tmp_path, opens):
    """Return a function that returns what is said of bytes that are refused, and sees that nothing is left."""

    def said(data, **wish) -> str:
        with pytest.raises(Unopened) as caught:
            opens(data, **wish)
        return well_said(str(caught.value), tmp_path)

    return said


def well_said(message: str, folder: Path) -> str:
    """Return the message without the file's name, having looked at its form and at what is left on disk."""
    assert [each.name for each in folder.iterdir() if each.name not in {"download", "room"}] == []
    assert not (folder / "room").exists() or list((folder / "room").iterdir()) == []
    assert message.startswith(str(folder / "download"))
    message = message.removeprefix(f"{folder / 'download'}: ")
    assert message.endswith(".")
    assert message.isprintable()
    assert not {"invalid", "None", "Traceback", "Error", "Errno"} & set(message.replace(":", " ").split())
    return message


# What opens


@pytest.mark.parametrize(
    ("data", "kind", "delimiter", "quote", "columns", "header", "count"),
    [
        pytest.param(simple(), "gbif-simple", "\t", "", SIMPLE_COLUMNS, False, 3, id="the simple file, plain"),
        pytest.param(packed(simple()), "gbif-simple", "\t", "", SIMPLE_COLUMNS, False, 3, id="the simple file, packed"),
        pytest.param(
            packed(simple(2)) + packed(simple(5)), "gbif-simple", "\t", "", SIMPLE_COLUMNS, False, 7, id="two members"
        ),
        pytest.param(
            zipped({"any.txt": simple()}), "gbif-simple", "\t", "", SIMPLE_COLUMNS, False, 3, id="zipped"
        ),
        pytest.param(
            zipped(dwca()), "dwca", "\t", "", ("id", "scientificName", "taxonRank"), True, 2, id="a Darwin Core Archive"
        ),
        pytest.param(
            zipped({f"top/{name}": text for name, text in dwca().items()}),
            "dwca", "\t", "", ("id", "scientificName", "taxonRank"), True, 2, id="an archive within one folder",
        ),
        pytest.param(
            zipped({"Taxon.tsv": TAXA, "__MACOSX/._Taxon.tsv": "litter"}),
            "dwca", "\t", "", ("taxonID", "scientificName", "taxonRank"), True, 2, id="a taxon table, no map",
        ),
        pytest.param(
            zipped({"NameUsage.tsv": USAGES, "Reference.tsv": "col:ID\n"}),
            "coldp", "\t", "", ("ID", "parentID", "scientificName", "merged"), True, 2, id="ColDP",
        ),
        pytest.param(
            zipped({"nameusage.CSV": USAGES.replace("\t", ",")}, zipfile.ZIP_STORED),
            "coldp", ",", '"', ("ID", "parentID", "scientificName", "merged"), True, 2, id="ColDP as CSV",
        ),
        pytest.param(CSV, "delimited", ",", '"', ("scientificName", "kingdom", "note"), True, 2, id="CSV"),
        pytest.param(
            CSV.replace(",", ";").replace("\n", "\r\n"),
            "delimited", ";", '"', ("scientificName", "kingdom", "note"), True, 2, id="semicolons and CRLF",
        ),
        pytest.param(
            CSV.replace(",", "|"), "delimited", "|", "", ("scientificName", "kingdom", "note"), True, 2, id="bars"
        ),
        pytest.param(
            zipped({"0001-invented.csv": CSV.replace(",", "\t")}),
            "delimited", "\t", "", ("scientificName", "kingdom", "note"), True, 2, id="a zipped CSV that has tabs",
        ),
        pytest.param(
            "dwc:genus\thttp://rs.tdwg.org/dwc/terms/taxonRank\tseen on: date\t\nFictum\tgenus\t\tx",
            "delimited", "\t", "", ("genus", "taxonRank", "seen on: date", "column_4"), True, 1, id="prefixes are cut",
        ),
        pytest.param(
            'a\tb\n5" cap\t"x\ny\tz\n', "delimited", "\t", "", ("a", "b"), True, 2, id="quotes between tabs"
        ),
        pytest.param(
            '"a"\t"b"\n"x\ty"\t"z"\n', "delimited", "\t", '"', ("a", "b"), True, 1, id="unless the header is quoted"
        ),
        pytest.param(
            'a\tb\n"x\ny"\tz\n', "delimited", "\t", '"', ("a", "b"), True, 1, id="or rows come out uneven otherwise"
        ),
        pytest.param(
            'a,b\n"x, ""y""\n\nz",1\n"",2\n,\n', "delimited", ",", '"', ("a", "b"), True, 3, id="quotes over lines"
        ),
        pytest.param(
            'a,b\r\n"x\ny",1\r\nz,2\r\n\r\n', "delimited", ",", '"', ("a", "b"), True, 2, id="CRLF, and LF in a cell"
        ),
        pytest.param(
            "name,2024,kingdom\nFictum,1,x\n", "delimited", ",", '"', ("name", "2024", "kingdom"), True, 1, id="a year"
        ),
        pytest.param("\ufeff" + CSV, "delimited", ",", '"', ("scientificName", "kingdom", "note"), True, 2, id="a BOM"),
        pytest.param(
            "scientificName\nFictum inventum (L.) Nemo, 1900\nFictum\n",
            "delimited", "\t", "", ("scientificName",), True, 2, id="a list of names alone",
        ),
        pytest.param(
            'scientificName\n"Fictum inventum (L.) Nemo, 1900"\n',
            "delimited", ",", '"', ("scientificName",), True, 1, id="a list of quoted names",
        ),
        pytest.param(
            "scientificName\nFictum\n\n\n", "delimited", "\t", "", ("scientificName",), True, 1, id="a list, blank end"
        ),
        pytest.param(packed(simple() + b"\n"), "gbif-simple", "\t", "", SIMPLE_COLUMNS, False, 3, id="packed"),
        pytest.param(CSV + "\n\n", "delimited", ",", '"', ("scientificName", "kingdom", "note"), True, 2, id="end"),
    ],
)  # fmt: skip
def test_it_opens(opens, data, kind, delimiter, quote, columns, header, count):
    sheet = opens(data)
    found = (sheet.kind, sheet.delimiter, sheet.quote, sheet.columns, sheet.has_header, sheet.rows)
    assert found == (kind, delimiter, quote, tuple(columns), header, count)
    given_bytes = data.encode() if isinstance(data, str) else data
    assert (sheet.checksum, sheet.size) == (hashlib.sha256(given_bytes).hexdigest(), len(given_bytes))
    assert (sheet.null, sheet.escaped) == (("\\N", True) if kind == "gbif-simple" else ("", False))
    assert read_by_others(sheet) == [count, count]


def read_by_others(sheet: Sheet) -> list[int]:
    """Return the rows that DuckDB and polars read when they are told what the sheet says."""
    columns = dict.fromkeys(sheet.columns, "VARCHAR")
    by_duckdb = duckdb.execute(
        "SELECT count(*) FROM read_csv($path, delim=$delim, quote=$quote, escape=$quote, header=$header,"
        " columns=$columns, auto_detect=false, strict_mode=true)",
        {
            "path": str(sheet.path), "delim": sheet.delimiter, "quote": sheet.quote, "header": sheet.has_header,
            "columns": columns,
        },
    ).fetchone()[0]  # fmt: skip
    by_polars = pl.read_csv(
        sheet.path, separator=sheet.delimiter, quote_char=sheet.quote or None, has_header=sheet.has_header,
        new_columns=list(sheet.columns), infer_schema=False,
    )  # fmt: skip
    return [by_duckdb, by_polars.height]


def test_a_plain_file_is_not_copied_and_a_packed_one_is(opens, tmp_path):
    assert opens(CSV).path == tmp_path / "download"
    assert list((tmp_path / "room").iterdir()) == []
    sheet = opens(packed(CSV.encode()))
    assert sheet.path.parent == tmp_path / "room"
    assert sheet.path.read_text() == CSV


def test_a_bom_is_dropped(opens):
    assert opens("\ufeff" + CSV).path.read_bytes() == CSV.encode()


def test_release_title_and_defaults_come_from_the_archive(opens):
    sheet = opens(zipped(dwca()))
    assert (sheet.release, sheet.title, sheet.defaults) == ("2026-01-02", "Invented fungi", (("kingdom", "Fungi"),))
    said = "key: 1\ntitle: 'Invented list'\nissued: 2026-01-02\nversion: v7\nsource:\n  - title: another\n"
    sheet = opens(zipped({"NameUsage.tsv": USAGES, "metadata.yaml": said}))
    assert (sheet.release, sheet.title, sheet.defaults) == ("v7", "Invented list", ())
    sheet = opens(zipped({"NameUsage.tsv": USAGES}))
    assert (sheet.release, sheet.title) == ("", "")


def test_what_an_archive_says_of_itself_cannot_do_harm(opens):
    entities = '<!DOCTYPE eml [<!ENTITY a "x">]><eml><dataset><title>&a;</title></dataset></eml>'
    assert opens(zipped(dwca() | {"eml.xml": entities})).title == ""
    assert opens(zipped(dwca() | {"eml.xml": downloads.EML.replace("fungi", "\u202e&#10;fungi")})).title.isprintable()
    assert opens(zipped({"NameUsage.tsv": USAGES, "metadata.yaml": "title: \x1b[31mred\n"})).title.isprintable()


def test_a_map_without_attributes_means_what_the_darwin_core_text_guide_says(opens):
    """Comma, double quotes, no header: https://dwc.tdwg.org/text/ section 2.3."""
    bare = f'<archive><core rowType="{DWC}Taxon"><files><location>Taxon.tsv</location></files>{FIELDS}</core></archive>'
    sheet = opens(zipped({"meta.xml": bare, "Taxon.tsv": 'F1,"Fictum, x",species\n'}))
    assert (sheet.delimiter, sheet.quote, sheet.has_header, sheet.rows) == (",", '"', False, 1)
    assert sheet.columns == ("id", "scientificName", "taxonRank")


def test_columns_that_the_map_leaves_out_keep_their_heading(opens):
    fields = f'<id index="0"/><field index="0" term="{DWC}taxonID"/><field index="2" term="{DWC}taxonRank"/>'
    assert opens(zipped(dwca(fields=fields))).columns == ("taxonID", "scientificName", "taxonRank")
    assert opens(zipped(dwca(fields=fields, ignoreHeaderLines="0"))).columns == ("taxonID", "column_2", "taxonRank")


def test_an_unpacked_archive_opens_as_the_folder_it_is(tmp_path):
    folder = tmp_path / "download"
    folder.mkdir()
    for name, text in dwca().items():
        (folder / name).write_text(str(text))
    sheet = opened(folder, tmp_path)
    assert (sheet.kind, sheet.path, sheet.rows, sheet.title) == ("dwca", folder / "Taxon.tsv", 2, "Invented fungi")
    assert sheet.checksum == hashlib.sha256(TAXA.encode()).hexdigest()


def test_parquet_says_its_columns(opens):
    out = io.BytesIO()
    pl.DataFrame({"scientificName": ["Fictum inventum"], "kingdom": ["Fungi"]}).write_parquet(out)
    sheet = opens(out.getvalue())
    assert (sheet.kind, sheet.columns, sheet.rows) == ("parquet", ("scientificName", "kingdom"), -1)
    assert sheet.checksum == hashlib.sha256(out.getvalue()).hexdigest()


def test_progress_goes_from_the_first_byte_to_the_last(opens):
    for data in (CSV, packed(simple(20_000)), zipped({"a.txt": simple(20_000)})):
        seen: list[tuple[str, int, int]] = []
        opens(data, progress=lambda *step, seen=seen: seen.append(step))
        assert [step for step, _, _ in seen] == ["opening"] * len(seen)
        assert [done for _, done, _ in seen] == sorted(done for _, done, _ in seen)
        assert seen[-1][1] == seen[-1][2]


def test_a_prefix_is_cut_only_where_it_is_one():
    assert [cut(each) for each in ("dwc:", "a: b", "x:1", "dcterms:modified", "http://a.example/t#genus")] == [
        "dwc:", "a: b", "x:1", "modified", "genus",
    ]  # fmt: skip


# What is refused: text


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        pytest.param(b"", "it is empty", id="an empty file"),
        pytest.param(packed(b""), "nothing in it", id="nothing, packed"),
        pytest.param("\ufeff", "nothing in it", id="a BOM alone"),
        pytest.param("a,b\n", "no rows", id="a header alone"),
        pytest.param("a,b", "no rows", id="a header without a line end"),
        pytest.param("a,b\n\n\n", "no rows", id="a header and blank lines"),
        pytest.param(CSV.encode("utf-16"), "UTF-16", id="UTF-16 with a BOM"),
        pytest.param(CSV.encode("utf-16-le"), "zero byte", id="UTF-16 without one"),
        pytest.param("a,b\nx,\u00e9\n".encode("latin-1"), "line 2, byte 3 is not UTF-8 (0xE9; in Lat", id="Latin-1"),
        pytest.param(b"a,b\nx,\xc3", "ends in the middle of a letter", id="a letter cut in two"),
        pytest.param(b"a,b\nx,\0\n", "line 2, byte 3 is a zero byte", id="a zero byte"),
        pytest.param("a,b\rx,y\r", "old Macs", id="line ends of old Macs"),
        pytest.param("a,b\r\nx,y\r\nx,y\nx,y\r\n", "line 3 ends in another way", id="mixed line ends"),
        pytest.param("a\tb\nx\ty\nx\ry\tz\n", "line 3 ends in another way than the first, or has", id="a CR in a row"),
        pytest.param("a:b\nx:y\n", "`a:b`, is one column only", id="an unknown delimiter"),
        pytest.param("Fictum inventum\nFictum falsum\n", "one column only", id="a list without a heading"),
        pytest.param("12,Fictum\n13,Fictum\n", "looks like a row", id="rows without a header"),
        pytest.param("name,\\N\nFictum,x\n", "looks like a row", id="a null in the header"),
        pytest.param('"a,b\n1,2\n', "first line has a quotation mark", id="a heading left open"),
        pytest.param('a"b,c\n1,2\n', "first line has a quotation mark", id="a quote in a heading"),
        pytest.param("a,b,A\n1,2,3\n", "two columns are called `A`", id="two columns of one name"),
        pytest.param("dwc:a,col:a\n1,2\n", "two columns are called `a`", id="two columns of one name once cut"),
        pytest.param("a,b\n1,2\n3\n4,5\n", "line 3 has 1 columns instead of 2, so", id="a row too short"),
        pytest.param("a,b\n1,2\n3,4,5\n4\n", "line 3 has 3 columns instead of 2, so", id="widths that make up for it"),
        pytest.param('a\tb\nx\t"y\nz\tw\tv\n', "line 3 has 3 columns", id="a row too long, after a quote"),
        pytest.param("a,b\n1,2\n\n4,5\n", "line 3 is empty", id="an empty line between rows"),
        pytest.param("scientificName\nFictum\n\nFictum\n", "line 3 is empty", id="an empty line in a list"),
        pytest.param("scientificName\nFictum\nFictum\tx\n", "line 3 has 2 columns", id="a tab in a list"),
        pytest.param('a,b\n"1\n1",2\n3\n', "line 4 has 1 columns", id="lines count where quotes go over lines"),
        pytest.param("a,b,c\n1,2,3\n4,5", "the last: the file was cut", id="a last row cut short"),
        pytest.param('a,b\n1,2\n"3,4\n5,6\n', "opens on line 3 is never closed", id="a quote left open"),
        pytest.param('a,b\n1,5" cap\n', "line 2 has a quotation mark in the middle", id="a quote within a field"),
        pytest.param('a,b\n1,2\n"x"y,2\n', "line 3 has a quotation mark in the middle", id="letters after a quote"),
        pytest.param("a," * 2000 + "b\n", "more than 2,000 columns", id="too many columns"),
        pytest.param("a," * 3_000_000, "first line is longer", id="millions of columns"),
        pytest.param("a,b\nx," + "y" * 5_000_000 + "\n", "longer than 4 MiB", id="a line too long"),
        pytest.param('a,b\nx,"' + "y\n" * 3_000_000, "line 2 is never closed", id="a quote open too long"),
        pytest.param(simple() + simple_row(1)[:80].encode(), "line 4 has", id="the simple file cut in a row"),
        pytest.param(simple() + simple_row(1)[:-1].encode(), "last line ends in the middle", id="cut in its end"),
        pytest.param(simple() + b"x\ty\n", "line 4 has 2 columns instead of 30", id="a strange last row"),
        pytest.param("<!DOCTYPE html>\n<html>", "a web page", id="an error page"),
        pytest.param(b"%PDF-1.7\n", "a PDF", id="a PDF"),
        pytest.param('{"a": 1}\n', "a JSON file", id="JSON"),
        pytest.param(b"\x28\xb5\x2f\xfd....", "a Zstandard file", id="packed in another way"),
        pytest.param(b"PAR1 and no more", "a Parquet file and does not go on", id="a Parquet file that was cut"),
        pytest.param(b"PAR1" + bytes(200) + b"\x10\0\0\0PAR1", "does not go on", id="a Parquet file of zeros"),
    ],
)  # fmt: skip
def test_text_is_refused(refuses, data, sentence):
    assert sentence in refuses(data)


def test_text_is_refused_the_same_when_packed(refuses):
    assert "line 2, byte 3 is not UTF-8" in refuses(packed(b"a,b\nx,\xe9\n"))
    assert "line 3 has 1 columns" in refuses(zipped({"t.csv": "a,b\n1,2\n3\n4,5\n"}))
    assert "never closed" in refuses(packed(b'a,b\n1,"2\n'))


def test_a_bad_byte_far_down_is_found_with_its_line(refuses):
    long = simple(3000).replace(b"Nemo", "N\u00e9mo".encode())
    assert "line 3001, byte 6 is not UTF-8 (0xFF" in refuses(packed(long + b"99999\xff\n"))


def test_a_kind_that_was_not_wanted_is_named(refuses):
    said = refuses(CSV, wanted=frozenset({"dwca", "coldp"}))
    assert said == "it is a CSV or TSV table, and a Darwin Core Archive or a ColDP archive is needed here."
    assert "it is a Parquet file" in refuses(b"PAR1....PAR1", wanted=ALL_KINDS - {"parquet"})


# What is refused: packed files


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        pytest.param(packed(simple(500))[:-9], "ends in the middle", id="gzip cut before its end"),
        pytest.param(packed(simple(500))[:-4], "ends in the middle", id="gzip cut in its last bytes"),
        pytest.param(packed(simple())[:5], "ends in the middle", id="gzip cut in its first bytes"),
        pytest.param(packed(simple()) + packed(simple())[:12], "ends in the middle", id="a second member cut"),
        pytest.param(packed(simple()) + b"more", "bytes that do not belong", id="bytes after the end"),
        pytest.param(packed(simple()) + bytes(512), "bytes that do not belong", id="zeros after the end"),
        pytest.param(packed(simple())[:-8] + bytes(8), "damaged", id="a wrong checksum"),
        pytest.param(packed(simple(500))[:60] + b"\xff" * 900, "damaged", id="damaged bytes"),
        pytest.param(packed(packed(simple())), "a gzip file again", id="packed twice"),
        pytest.param(packed(zipped(dwca())), "a ZIP archive again", id="an archive that is packed"),
        pytest.param(zipped({"a.txt": packed(simple())}), "a gzip file again", id="a packed file in an archive"),
        pytest.param(
            zipped(dwca() | {"Taxon.tsv": zipped({"a.txt": TAXA})}), "a ZIP archive again", id="an archive as the core"
        ),
        pytest.param(packed(b"a\0" * 128 + b"\0ustar  "), "a tar archive", id="a packed tar"),
        pytest.param(zipped(dwca())[:-30], "cut or damaged", id="an archive cut in its list"),
        pytest.param(zipped(dwca())[:200], "cut or damaged", id="an archive cut before its list"),
        pytest.param(b"PK\x03\x04", "cut or damaged", id="four bytes of an archive"),
        pytest.param(zipped({}), "no table", id="an empty archive"),
        pytest.param(zipped({"readme.md": "text"}), "no table", id="an archive without a table"),
        pytest.param(zipped({"a.csv": CSV, "b.csv": CSV}), "2 tables", id="two tables and no map"),
        pytest.param(zipped({"[Content_Types].xml": "<x/>"}), "a spreadsheet", id="a spreadsheet"),
        pytest.param(
            zipped({"Name.tsv": "ID\n", "Taxon.tsv": "ID\n", "Synonym.tsv": "ID\n"}),
            "names, taxa and synonyms in files of their own", id="ColDP in several tables",
        ),
        pytest.param(zipped({"NameUsage.tsv": USAGES.split("\n")[0]}), "no rows", id="ColDP without rows"),
        pytest.param(zipped({"../a.txt": TAXA}), "`../a.txt`, which would be written outside", id="a path that climbs"),
        pytest.param(zipped({"a/../../b.txt": TAXA}), "outside of its folder", id="a path that climbs later"),
        pytest.param(zipped({"/etc/a.txt": TAXA}), "outside of its folder", id="an absolute path"),
        pytest.param(zipped({"..\\a.txt": TAXA}), "outside of its folder", id="a backslash"),
        pytest.param(zipped({"C:a.txt": TAXA}), "outside of its folder", id="a drive letter"),
        pytest.param(zipped({"\x1b[31m/../a": TAXA}), "outside of its folder", id="a path with signs for terminals"),
        pytest.param(zipped({f"{n}": "" for n in range(10_001)}), "more than 10,000 files", id="too many members"),
        pytest.param(
            zipped({f"{n}" + "n" * 60_000: "" for n in range(80)}), "more than 10,000 files", id="a list too long"
        ),
        pytest.param(zipped({"a.csv": CSV}, zipfile.ZIP_BZIP2), "packed by method 12", id="an unusual method"),
    ],
)  # fmt: skip
def test_packed_files_are_refused(refuses, data, sentence):
    assert sentence in refuses(data)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        pytest.param({"before": "<!DOCTYPE a>"}, "DOCTYPE or entities", id="a DOCTYPE"),
        pytest.param({"before": '<!doctype a [<!ENTITY b "c">]>'}, "DOCTYPE or entities", id="entities"),
        pytest.param({"before": "<"}, "is not XML", id="no XML"),
        pytest.param({"before": "<!--" + "x" * 1_100_000 + "-->"}, "larger than 1 MiB", id="a map of a mebibyte"),
        pytest.param({"location": ""}, "names 0 files", id="no core file"),
        pytest.param({"location": "<location>a</location>" * 2}, "names 2 files", id="two core files"),
        pytest.param({"location": "<location>b.tsv</location>"}, "`b.tsv`, which the arch", id="core missing"),
        pytest.param(
            {"location": "<location>https://a.example/Taxon.tsv</location>"}, "nothing is fetched", id="a core afar"
        ),
        pytest.param({"location": "<location>file:///etc/passwd</location>"}, "nothing is fetched", id="a file URL"),
        pytest.param({"location": "<location>../Taxon.tsv</location>"}, "outside the archive", id="a core that climbs"),
        pytest.param({"rowType": f"{DWC}Event"}, "holds `Event`", id="events"),
        pytest.param({"encoding": "ISO-8859-1"}, "only UTF-8", id="another encoding"),
        pytest.param({"encoding": "no-such"}, "only UTF-8", id="an unknown encoding"),
        pytest.param({"ignoreHeaderLines": "3"}, "`3` header lines", id="several header lines"),
        pytest.param({"linesTerminatedBy": "|"}, "do not end with a line end", id="odd line ends"),
        pytest.param({"fieldsTerminatedBy": "#"}, "`#` as fieldsTerminatedBy", id="an odd delimiter"),
        pytest.param({"fieldsEnclosedBy": "'"}, "`'` as fieldsEnclosedBy", id="an odd quote"),
        pytest.param({"fields": FIELDS.replace('"2"', '"1"')}, "one column or one term twice", id="a column twice"),
        pytest.param({"fields": FIELDS.replace("taxonRank", "scientificName")}, "one term twice", id="a term twice"),
        pytest.param({"fields": FIELDS.replace('"2"', '"99999999"')}, "as the number of a column", id="a far column"),
        pytest.param({"fields": FIELDS.replace('"2"', '"-1"')}, "`-1` as the number", id="a column before the first"),
        pytest.param({"fields": FIELDS.replace('"2"', '"7"')}, "names a column 8", id="a column that is not there"),
        pytest.param(
            {"fields": FIELDS.replace('"2"', '"9"').replace('"1"', '"2"').replace('"9"', '"1"')},
            "is `taxonRank` by meta.xml but `scientificName` by its own header", id="a map that contradicts the header",
        ),
    ],
)  # fmt: skip
def test_maps_are_refused(refuses, changed, sentence):
    assert sentence in refuses(zipped(dwca(**changed)))


def test_entities_in_another_encoding_are_not_overlooked(refuses):
    hidden = meta(before='<!DOCTYPE a [<!ENTITY b "c">]>').replace("1.0", '1.0" encoding="UTF-16').encode("utf-16")
    assert "is not XML in UTF-8" in refuses(zipped(dwca() | {"meta.xml": hidden}))


def test_links_and_devices_in_an_archive_are_refused(refuses):
    for mode in (0o120777, 0o010644, 0o020644):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            member = zipfile.ZipInfo("Taxon.tsv")
            member.external_attr = mode << 16
            archive.writestr(member, "/etc/passwd")
        assert "a link or a device" in refuses(out.getvalue())


def test_a_member_that_is_there_twice_is_refused(refuses):
    out = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(out, "w") as archive:
        warnings.simplefilter("ignore")
        archive.writestr("Taxon.tsv", TAXA)
        archive.writestr("Taxon.tsv", TAXA.replace("F1", "F3"))
    assert "holds `Taxon.tsv` 2 times" in refuses(out.getvalue())


def listed(data: bytes, at: int, form: str, value: int, member: int = 0) -> bytes:
    """Return an archive with a number changed in its list of contents (APPNOTE.TXT 4.3.12)."""
    start = -1
    for _ in range(member + 1):
        start = data.index(b"PK\x01\x02", start + 1)
    return data[: start + at] + struct.pack(form, value) + data[start + at + struct.calcsize(form) :]


def test_an_archive_that_lies_about_itself_is_refused(refuses):
    table = zipped({"Taxon.tsv": TAXA})
    size = len(TAXA.encode())
    assert "locked with a password" in refuses(listed(table, 8, "<H", 1))
    assert "cut or damaged" in refuses(listed(table, 24, "<I", size - 1))
    assert "cut or damaged" in refuses(listed(table, 24, "<I", size + 1))
    assert "cut or damaged" in refuses(listed(table, 16, "<I", 7))
    assert "reaches into what comes after" in refuses(listed(table, 20, "<I", 4000))
    two = zipped({"Taxon.tsv": TAXA, "other.bin": TAXA})
    assert "reaches into what comes after" in refuses(listed(two, 42, "<I", 0, member=1))


def test_a_damaged_byte_within_an_archive_is_found(refuses):
    table = zipped({"Taxon.tsv": TAXA}, zipfile.ZIP_STORED)
    assert "cut or damaged" in refuses(table.replace(b"falsum", b"fatsum"))


def test_bombs_are_refused_before_they_fill_the_disk(refuses, opens, monkeypatch):
    monkeypatch.setattr(unpacking, "HARMLESS_BYTES", 1024 * 1024)
    bomb = b"a,b\n" + b"0,0\n" * 1_000_000
    assert "more than 200 times its size" in refuses(packed(bomb))
    assert "more than 200 times its size" in refuses(zipped({"a.csv": bomb}))
    monkeypatch.setattr(unpacking, "HARMLESS_BYTES", 8 * 1024 * 1024)
    assert opens(packed(bomb)).rows == 1_000_000


def test_more_than_may_be_unpacked_is_refused(refuses, opens):
    many = simple(5000)
    for data in (many, packed(many), zipped({"a.txt": many})):
        assert "it holds more than 100 KiB" in refuses(data, most_bytes=100 * 1024)
    assert opens(packed(many), most_bytes=len(many)).rows == 5000


def test_an_archive_too_large_for_the_disk_is_refused_before_it_is_unpacked(refuses, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(100, 90, 10))
    assert "has 10 bytes left" in refuses(zipped({"Taxon.tsv": TAXA}))


def test_a_disk_that_fills_up_is_named_and_nothing_stays(refuses, monkeypatch):
    def full(file, block):
        file.write(block[:10])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(unpacking, "_put", full)
    assert "is full, so it could not be unpacked; nothing of it was kept" in refuses(packed(simple()))


def test_a_small_disk_that_is_truly_full(tmp_path):
    room = tmp_path / "room"
    room.mkdir()
    path = laid(tmp_path, packed(simple(20_000)))
    program = (
        "import sys, os; from pathlib import Path; from sporeproof.names.download.opening import *\n"
        f"try: opened(Path({str(path)!r}), Path({str(room)!r}))\n"
        f"except Unopened as error: print(error, os.listdir({str(room)!r}))"
    )
    mounted = (
        f"mount -t tmpfs -o size=1m tmpfs {room} && exec {sys.executable} -c '{program.replace(chr(39), chr(34))}'"
    )
    shell = shutil.which("unshare")
    if not shell or subprocess.run([shell, "-rm", "true"], capture_output=True).returncode:
        pytest.skip("this system gives no small disk of one's own")
    done = subprocess.run([shell, "-rm", "sh", "-c", mounted], capture_output=True, text=True)
    assert "is full" in done.stdout, done.stderr
    assert done.stdout.endswith("[]\n")


# What is refused: what is no file


def test_what_is_no_file_is_refused(tmp_path):
    path, room = tmp_path / "download", tmp_path / "room"
    with pytest.raises(Unopened, match="there is no such file"):
        opened(path, room)
    path.mkdir()
    with pytest.raises(Unopened, match="it is a folder"):
        opened(path, room)
    path.rmdir()
    os.mkfifo(path)
    with pytest.raises(Unopened, match="a device or a pipe"):
        opened(path, room)
    with pytest.raises(Unopened, match="a device or a pipe"):
        opened(Path(os.devnull), room)


def test_a_link_in_an_unpacked_archive_is_not_followed(tmp_path):
    folder = tmp_path / "download"
    folder.mkdir()
    (folder / "meta.xml").write_text(meta())
    laid(tmp_path, TAXA, "elsewhere")
    (folder / "Taxon.tsv").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(Unopened, match="which the archive does not hold"):
        opened(folder, tmp_path)


def test_a_folder_for_unpacking_that_is_not_there_is_said(tmp_path):
    with pytest.raises(Unopened, match="the system says: No such file"):
        opened(laid(tmp_path, packed(simple())), tmp_path / "room")


def grow(path: Path) -> None:
    with path.open("ab") as file:
        file.write(b"x,y,z\n")


def cut_down(path: Path) -> None:
    os.truncate(path, len(CSV) + 18 * 20_000)  # a row is 18 bytes long


def rewrite(path: Path) -> None:
    os.utime(path, (1, 1))


@pytest.mark.parametrize(
    ("meddling", "sentence"),
    [(grow, "it grows while"), (cut_down, "it was cut while"), (rewrite, "it was changed while")],
)
def test_a_file_that_changes_while_it_is_read_is_refused(tmp_path, meddling, sentence):
    path = laid(tmp_path, CSV + "Fictum,Fungi,more\n" * 100_000)
    calls = []

    def meddle(*step):
        calls.append(step)
        if len(calls) == 1:
            meddling(path)

    with pytest.raises(Unopened, match=sentence):
        opened(path, tmp_path, progress=meddle)


# Laws


@settings(max_examples=150, deadline=None)
@given(
    table=st.lists(
        st.tuples(*[st.text(st.sampled_from('ab",;\n\r \u00e9\t'), max_size=6)] * 3), min_size=1, max_size=8
    ),
    cuts=st.lists(st.integers(1, 40), min_size=1, max_size=20),
    quoting=st.sampled_from([csv.QUOTE_ALL, csv.QUOTE_MINIMAL]),
    end=st.sampled_from(["\n", "\r\n"]),
)
def test_rows_are_counted_as_the_csv_module_writes_them_wherever_blocks_are_cut(table, cuts, quoting, end):
    out = io.StringIO()
    csv.writer(out, quoting=quoting, lineterminator=end).writerows(table)
    data = out.getvalue().encode()
    tally = Tally(b",", b'"', 3)
    at = 0
    for number in range(len(data)):
        size = cuts[number % len(cuts)]
        if block := data[at : at + size]:
            tally.take(block)
        at += size
    tally.end()
    assert (tally.rows, tally.is_even) == (len(table), True)
    if end == "\r\n" or quoting == csv.QUOTE_ALL:  # the module puts no quotes around a CR alone
        assert tally.returns == (len(table) if end == "\r\n" else 0)


@settings(max_examples=150, deadline=None)
@given(widths=st.lists(st.integers(1, 4), min_size=1, max_size=30), cut=st.integers(1, 9), quoted=st.booleans())
def test_rows_of_another_width_are_found_wherever_they_stand(widths, cut, quoted):
    cell = '"a"' if quoted else "a"
    data = "".join(",".join([cell] * width) + "\n" for width in widths).encode()
    tally = Tally(b",", b'"', widths[0])
    for at in range(0, len(data), cut):
        tally.take(data[at : at + cut])
    tally.end()
    assert tally.is_even == (len(set(widths)) == 1)


def seen(data: bytes, cuts: list[int]) -> str:
    """Return what is said of the letters of a text that comes in blocks of these sizes, over and over."""
    letters = rows.Letters()
    at = number = 0
    try:
        while at < len(data):
            size = cuts[number % len(cuts)]
            letters.take(data[at : at + size])
            at, number = at + size, number + 1
        letters.end()
    except Unopened as error:
        return str(error)
    return ""


PIECES = [b"a", b"bc", b"\n", "\u00e9".encode(), "\u20ac".encode(), b"\xc3", b"\xa9", b"\xe2\x82", b"\xff"]


@settings(max_examples=300, deadline=None)
@given(
    pieces=st.lists(st.sampled_from(PIECES), min_size=1, max_size=12),
    cuts=st.lists(st.integers(1, 4), min_size=1, max_size=9),
)
def test_text_that_is_not_utf8_is_found_at_the_same_place_wherever_blocks_are_cut(pieces, cuts):
    data = b"".join(pieces)
    assert seen(data, cuts) == seen(data, [len(data)])
    try:
        data.decode()
    except UnicodeDecodeError as error:
        if "ends in the middle" not in seen(data, cuts):
            line = data[: error.start].count(b"\n") + 1
            byte = error.start - data[: error.start].rfind(b"\n")
            assert f"line {line}, byte {byte} is not UTF-8" in seen(data, cuts)
    else:
        assert seen(data, cuts) == ""


@pytest.mark.parametrize("size", range(1, 14))
@pytest.mark.parametrize(
    ("data", "line"),
    [
        (b'a,b\n1,"2"x\n', 2),
        (b'a,b\n1,x"2"\n', 2),
        (b'a,b\n"1\n"x,2\n', 3),
        (b'a,b\n"","2" \n', 2),
    ],
)
def test_a_quote_where_none_can_stand_is_found_wherever_blocks_are_cut(data, line, size):
    tally = Tally(b",", b'"', 2)
    with pytest.raises(Unopened, match=rf"^line {line} has a quotation mark in the middle"):
        take_all(tally, data, size)


def take_all(tally: Tally, data: bytes, size: int) -> None:
    for at in range(0, len(data), size):
        tally.take(data[at : at + size])


def test_a_block_is_written_to_its_end_though_the_disk_takes_it_bit_by_bit():
    class Slow(io.BytesIO):
        def write(self, data):
            return super().write(data[:3])

    out = Slow()
    unpacking._put(out, b"Fictum inventum")
    assert out.getvalue() == b"Fictum inventum"


@pytest.mark.parametrize("kind", ["simple", "dwca", "coldp", "csv"])
def test_whatever_is_spoiled_is_opened_or_refused_and_nothing_else(tmp_path, kind):
    """Bytes changed, cut out and doubled at random: the same 200 each time."""
    sound = {
        "simple": packed(simple(30)),
        "dwca": zipped(dwca()),
        "coldp": zipped({"NameUsage.tsv": USAGES, "metadata.yaml": "title: a\n"}),
        "csv": CSV.encode(),
    }[kind]
    chance = random.Random(kind)
    room = tmp_path / "room"
    refused = 0
    for _ in range(200):
        room.mkdir()
        try:
            opened(laid(tmp_path, spoiled(sound, chance)), room)
        except Unopened as error:
            refused += 1
            well_said(str(error), tmp_path)
        shutil.rmtree(room)
    assert refused > 10


def spoiled(data: bytes, chance: random.Random) -> bytes:
    at, size = chance.randrange(len(data)), chance.choice([1, 1, 2, 4, 30])
    return data[:at] + chance.choice([chance.randbytes(size), b"", data[at : at + size] * 2]) + data[at + size :]


def test_the_limits_are_the_ones_that_are_promised():
    assert (unpacking.HARMLESS_BYTES, unpacking.MOST_RATIO) == (2**30, 200)
    assert (rows.LONGEST_LINE, archives.MOST_MEMBERS, archives.MOST_META) == (4 * 2**20, 10_000, 2**20)
