"""`names match` on a whole file: the same answers whatever the kind, rows as they were. Every name is invented."""

import csv
import io
import shutil

import polars as pl
import pytest
from click.testing import CliRunner

from sporeproof import indexed
from sporeproof.cli import main
from sporeproof.names.backbone.ask import Backbone
from sporeproof.names.backbone.plain_match import ANSWERED
from tests.names.checklist import line_of, packed
from tests.names.downloads import DWC, meta, zipped

PLACE = ("Fungi", "Basidiomycota", "Agaricomycetes", "Agaricales", "Fictaceae", "Fictum")
HEAD = ["id", "scientificName", "note"]
ROWS = [
    ["007", "Fictum novum", 'said "so", twice'],
    ["008", "Fictum vetus", "two\nlines"],
    ["0", "Mendax ignotus", "Grüße ✓"],
    ["1e5", "Fictum novum", ""],
    ["", "", "=1+1"],
    ["-3", "Fictum album", "@x"],
    ["+4", "Fictum novum", "-y"],
]
OUTCOMES = ["current", "renamed", "unknown", "current", "unknown", "current", "current"]


@pytest.fixture(scope="module")
def index(tmp_path_factory):
    """An index of two accepted names and a synonym."""
    folder = tmp_path_factory.mktemp("index")
    rows = [*line_of(*PLACE, "Fictum novum"), *line_of(*PLACE, "Fictum album")]
    rows.append(("s1", "Fictum novum", "synonym", "species", "Fictum vetus", ""))
    indexed.names_index(packed(list(dict.fromkeys(rows)), folder / "checklist.zip"), folder / "index")
    return folder / "index"


def match(file, out, index, *more):
    return CliRunner().invoke(main, [*map(str, ["names", "match", file, "--to", out, "--index", index, *more])])


def text_of(rows, delimiter=","):
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return out.getvalue()


def read(path):
    """Return header and rows, an empty cell as ''; read by another library than the one that wrote."""
    if path.suffix == ".parquet":
        table = pl.read_parquet(path)
        return [table.columns, *([("" if each is None else str(each)) for each in row] for row in table.rows())]
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file, delimiter="\t" if path.suffix == ".tsv" else ","))


def outcomes(path):
    head, *rows = read(path)
    return [row[head.index("outcome")] for row in rows]


def given(kind, folder, head=HEAD, rows=ROWS):
    path = folder / "given"
    if kind == "parquet":
        pl.DataFrame(rows, schema=head, orient="row").write_parquet(path)
    elif kind == "dwca":
        fields = '<id index="0"/>' + "".join(
            f'<field index="{at}" term="{DWC}{each}"/>' for at, each in enumerate(head) if at
        )
        said = meta(
            fields, "<location>o.csv</location>", rowType=f"{DWC}Occurrence", fieldsTerminatedBy=",",
            fieldsEnclosedBy="&quot;",
        )  # fmt: skip
        path.write_bytes(zipped({"meta.xml": said, "o.csv": text_of([head, *rows])}))
    else:
        path.write_text(text_of([head, *rows], kind), "utf-8", newline="")
    return path


@pytest.mark.parametrize("kind", [",", "\t", ";", "parquet", "dwca"])
@pytest.mark.parametrize("suffix", [".csv", ".tsv", ".parquet"])
def test_every_kind_gives_the_same_answers_and_keeps_the_rows(tmp_path, index, kind, suffix):
    out = tmp_path / f"out{suffix}"
    done = match(given(kind, tmp_path), out, index)
    assert done.exit_code == 1, done.output
    head, *rows = read(out)
    assert head == [*HEAD, *ANSWERED]
    assert [row[:3] for row in rows] == ROWS
    assert outcomes(out) == OUTCOMES
    assert [row[head.index("accepted_name")] for row in rows][:3] == ["Fictum novum", "Fictum novum", ""]
    assert not any(cell.startswith(tuple("=+-@")) for row in rows for cell in row[3:])


@pytest.mark.parametrize(
    ("head", "row"),
    [
        (["SCIENTIFICNAME"], ["Fictum novum"]),
        (["genus", "specificEpithet", "infraspecificEpithet"], ["Fictum", "novum", ""]),
        (["GENUS", "SPECIFICEPITHET", "note"], ["Fictum", "novum", "x"]),
    ],
)
def test_columns_are_found_by_their_term(tmp_path, index, head, row):
    done = match(given(",", tmp_path, [*head, "z"], [[*row, "1"]]), tmp_path / "out.csv", index)
    assert done.exit_code == 0, done.output
    assert outcomes(tmp_path / "out.csv") == ["current"]


def test_the_summary_counts_rows_and_names(tmp_path, index):
    done = match(given(",", tmp_path), tmp_path / "out.csv", index)
    lines = [line.split() for line in done.stdout.splitlines()]
    assert ["4", "rows", "2", "names", "current"] in lines
    assert ["1", "rows", "1", "names", "renamed"] in lines
    assert ["2", "rows", "2", "names", "unknown"] in lines


GOOD = text_of([HEAD, *ROWS]).encode()
REFUSED = {
    "taken": (b"scientificName,status\nFictum novum,x\n", "status"),
    "no names": (b"a,b\n1,2\n", "No column holds names"),
    "header only": (b"scientificName,b\n", "no rows"),
    "empty": (b"", "it is empty"),
    "one column": (b"scientificName#b\nFictum novum#1\n", "one column only"),
    "ragged": (b"scientificName,b\nFictum novum,1\nFictum novum\n", "line 3"),
    "not utf-8": (b"scientificName,b\nFictum novum,1\nFictum \xff,2\n", "line 3"),
}


def refused(done, folder, out, before, says):
    assert done.exit_code == 2, done.output
    assert says in done.output
    assert "Traceback" not in done.output
    assert out.read_bytes() == b"old"
    assert sorted(each.name for each in folder.iterdir()) == before


@pytest.mark.parametrize("what", REFUSED)
def test_what_cannot_be_matched_leaves_the_old_answers(tmp_path, index, what):
    data, says = REFUSED[what]
    (file := tmp_path / "given").write_bytes(data)
    (out := tmp_path / "out.csv").write_bytes(b"old")
    refused(match(file, out, index), tmp_path, out, ["given", "out.csv"], says)


def test_distinct_names_are_matched_once_and_strict_is_passed_on(tmp_path, index, monkeypatch):
    asked, matches = [], Backbone.matches

    def counting(self, names, *, strict=False):
        asked.append((len(names), strict))
        return matches(self, names, strict=strict)

    monkeypatch.setattr(Backbone, "matches", counting)
    match(given(",", tmp_path, HEAD, ROWS * 50), tmp_path / "out.csv", index, "--strict")
    assert asked == [(4 + 1, True)]
    assert outcomes(tmp_path / "out.csv") == OUTCOMES * 50


@pytest.mark.parametrize(
    ("place", "says"), [("given", "Name another place"), ("none/out.csv", "there is no folder"), ("out.xls", "ends in")]
)
def test_a_place_that_cannot_be_written_is_told(tmp_path, index, place, says):
    (file := tmp_path / "given").write_bytes(GOOD)
    (tmp_path / "out.xls").write_bytes(b"old")
    done = match(file, tmp_path / place, index)
    refused(done, tmp_path, tmp_path / "out.xls", ["given", "out.xls"], says)
    assert file.read_bytes() == GOOD


@pytest.mark.parametrize("spoiled", ["missing", "manifest", "tables"])
def test_an_index_that_cannot_be_read_is_told(tmp_path, index, spoiled):
    (folder := tmp_path / "in").mkdir()
    (file := folder / "given").write_bytes(GOOD)
    (out := folder / "out.csv").write_bytes(b"old")
    bad = tmp_path / "index"
    if spoiled != "missing":
        shutil.copytree(index, bad)
        for each in bad.glob("*/*" if spoiled == "tables" else "manifest.json"):
            each.write_bytes(b"spoiled")
    refused(match(file, out, bad), folder, out, ["given", "out.csv"], "index")


def test_a_kingdom_is_asked_where_the_file_tells_none(tmp_path, index):
    file = given(",", tmp_path, ["kingdom", "scientificName"], [["", "Fictum novum"], ["Fungi", "Fictum novum"]])
    assert match(file, tmp_path / "plain.csv", index).exit_code == 0
    match(file, tmp_path / "out.csv", index, "--kingdom", "Plantae")
    assert outcomes(tmp_path / "plain.csv") == ["current", "current"]
    assert outcomes(tmp_path / "out.csv")[1] == "current"
    head, *rows = read(tmp_path / "out.csv")
    confidence = [int(row[head.index("confidence")] or 0) for row in rows]
    assert confidence[0] < confidence[1]
    assert [row[0] for row in rows] == ["", "Fungi"]


def test_many_rows_keep_their_order(tmp_path, index):
    many = [[str(number), ROWS[number % 7][1]] for number in range(300_000)]
    file = given("\t", tmp_path, ["id", "scientificName"], many)
    match(file, tmp_path / "out.parquet", index)
    found = pl.read_parquet(tmp_path / "out.parquet")
    assert found["id"].to_list() == [row[0] for row in many]
    assert found["outcome"].to_list() == [OUTCOMES[number % 7] for number in range(300_000)]


def test_a_key_that_begins_as_a_formula_is_written_as_text(tmp_path):
    rows = [*line_of(*PLACE), ("=1+1", "Fictum", "accepted", "species", "Fictum novum", "")]
    indexed.names_index(packed(rows, tmp_path / "checklist.zip"), tmp_path / "index")
    assert match(given(",", tmp_path), tmp_path / "out.csv", tmp_path / "index").exit_code == 1
    head, first, *_ = read(tmp_path / "out.csv")
    assert first[head.index("matched_id")] == "'=1+1"
