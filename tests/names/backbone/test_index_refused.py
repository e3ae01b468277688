"""What cannot be indexed is refused in a sentence with exit code 2, and the old index stays. All is invented."""

from __future__ import annotations

import gzip
import io
import zipfile

import polars as pl
import pytest
from click.testing import CliRunner

from sporeproof import indexed
from sporeproof.cli import main
from sporeproof.names.download import unpacking
from tests.names.backbone.kinds import CHECKLIST, coldp, simple, simple_line
from tests.names.downloads import DWC, dwca, meta, zipped
from tests.names.invented import tree

SIMPLE = "".join(f"{simple_line(row)}\n" for row in CHECKLIST).encode()
HEADER = "ID\tparentID\tstatus\trank\tscientificName"
ROWS = "7\t\taccepted\tspecies\tFictum album\n8\t7\tsynonym\tspecies\tFictum pallidum\n"


@pytest.fixture(scope="module")
def held(tmp_path_factory):
    """An index in force, and its bytes."""
    folder = tmp_path_factory.mktemp("old")
    indexed.names_index(coldp(CHECKLIST, folder / "checklist.zip"), folder / "index")
    return folder / "index", tree(folder / "index")


@pytest.fixture
def said(held, tmp_path):
    """Return a function that indexes bytes over an old index by the command, and returns what it says."""
    index, before = held

    def act(data, name="download"):
        path = tmp_path / name
        path.write_bytes(data)
        done = CliRunner().invoke(main, ["names", "index", str(path), "--output", str(index)])
        assert done.exit_code == 2, done.output
        assert done.exception is None or isinstance(done.exception, SystemExit)
        assert tree(index) == before
        text = " ".join(done.output.split())
        assert str(path) in text.replace(" ", "") or str(path) in text
        assert text.rstrip().endswith((".", ")"))
        assert not any(word in text for word in ("Traceback", "polars", "duckdb", "Error:  ", "None"))
        return text

    return act


def coldp_of(text: str, **members: str) -> bytes:
    return zipped({"NameUsage.tsv": text, **members})


def parquet() -> bytes:
    out = io.BytesIO()
    pl.DataFrame({"scientificName": ["Fictum album"]}).write_parquet(out)
    return out.getvalue()


def climbing() -> bytes:
    return zipped({"NameUsage.tsv": f"{HEADER}\n{ROWS}", "../../fictum.txt": "out"})


WORDS = f"{HEADER}\n{ROWS}"
NO_STATES = "ID\tparentID\tscientificName\n7\t\tFictum album\n"
REFUSED = {
    "gz cut": (gzip.compress(SIMPLE)[:-20], "the download was cut"),
    "gz damaged": (gzip.compress(SIMPLE)[:-8] + b"\0" * 8, "damaged"),
    "zip cut": (coldp_of(WORDS)[:-30], "cut or damaged"),
    "text cut": (SIMPLE[:-40], "the file was cut"),
    "nothing": (b"", "it is empty"),
    "nothing packed": (gzip.compress(b""), "there is nothing in it"),
    "header only": (coldp_of(f"{HEADER}\n"), "no rows"),
    "key twice": (coldp_of(f"{WORDS}7\t\taccepted\tspecies\tFictum nigrum\n"), "the key 7 stands in it more than once"),
    "key missing": (coldp_of(f"{WORDS}\t\taccepted\tspecies\tFictum nigrum\n"), "have no key or no name"),
    "name missing": (coldp_of(f"{WORDS}9\t\taccepted\tspecies\t\n"), "have no key or no name"),
    "columns missing": (coldp_of(NO_STATES), "it lacks the columns status"),
    "no names": (
        zipped(dwca(fields='<id index="0"/>') | {"Taxon.tsv": "taxonID\ttaxonRank\n7\tspecies\n"}),
        "scientificName",
    ),
    "column twice": (coldp_of(f"{HEADER}\tID\n7\t\taccepted\tspecies\tFictum album\t8\n"), "two columns are called"),
    "CSV": (b"scientificName,kingdom\nFictum album,Fungi\n", "it is a CSV or TSV table, and"),
    "Parquet": (parquet(), "it is a Parquet file, and"),
    "occurrences": (
        zipped({"meta.xml": meta(rowType=f"{DWC}Event"), "Taxon.tsv": "a"}),
        "its main table holds `Event`",
    ),
    "climbs out": (climbing(), "would be written outside of its folder"),
    "not UTF-8": (SIMPLE.replace("øreum".encode(), b"\xf8reum"), "is not UTF-8"),
    "ragged": (coldp_of(f"{WORDS}9\t7\n"), "has 2 columns instead of 5"),
    "bare web page": (b"<html><body>404</body></html>", "it is a web page"),
    "tables without a map": (zipped({"a.tsv": "x\ty\n", "b.tsv": "x\ty\n"}), "it holds 2 tables"),
}


@pytest.mark.parametrize(("data", "expected"), REFUSED.values(), ids=list(REFUSED))
def test_it_is_refused_in_a_sentence_and_the_old_index_stays(said, data, expected):
    assert expected in said(data)


def test_a_bomb_is_refused(said, monkeypatch):
    """The size that counts as harmless is made small, so that the bomb can be."""
    monkeypatch.setattr(unpacking, "HARMLESS_BYTES", 1 << 20)
    line = SIMPLE.splitlines(keepends=True)[6]
    assert "it may have been made to fill the disk" in said(gzip.compress(line * 100_000))


def test_a_bomb_in_an_archive_is_refused(said, monkeypatch):
    monkeypatch.setattr(unpacking, "HARMLESS_BYTES", 1 << 20)
    data = coldp_of(f"{HEADER}\n" + ROWS * 100_000)
    assert "it may have been made to fill the disk" in said(data)


@pytest.mark.parametrize(("count", "expected"), [(2_100, "more than 2,000 columns"), (5_000_000, "longer than 4 MiB")])
def test_millions_of_columns_are_refused(said, count, expected):
    assert expected in said(coldp_of("c\t" * count + "\n"))


def test_a_link_in_an_archive_is_refused(said):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        link = zipfile.ZipInfo("NameUsage.tsv")
        link.external_attr = 0o120777 << 16
        archive.writestr(link, "/etc/hostname")
    assert "a link or a device instead of a file" in said(out.getvalue())


def test_nothing_is_left_where_there_was_no_index(tmp_path):
    (tmp_path / "download").write_bytes(REFUSED["gz cut"][0])
    done = CliRunner().invoke(main, ["names", "index", f"{tmp_path / 'download'}", "--output", f"{tmp_path / 'index'}"])
    assert done.exit_code == 2
    assert [*tmp_path.rglob("*")] == [tmp_path / "download"] or list((tmp_path / "index").iterdir()) == []


def test_an_output_that_cannot_be_written_is_named(tmp_path):
    file = simple(CHECKLIST, tmp_path / "simple.txt")
    (tmp_path / "taken").write_text("a file")
    done = CliRunner().invoke(main, ["names", "index", f"{file}", "--output", f"{tmp_path / 'taken' / 'index'}"])
    assert done.exit_code == 2
    assert f"{tmp_path / 'taken'}" in done.output.replace("\n", "")
    assert "Not a directory" in done.output


def test_the_old_index_still_answers(held, tmp_path):
    (tmp_path / "asked.csv").write_text("scientificName\nFictum album\n")
    words = ["names", "match", tmp_path / "asked.csv", "--to", tmp_path / "out.csv", "--index", held[0]]
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code == 0, done.output
    assert "current" in (tmp_path / "out.csv").read_text("utf-8")
