"""Every kind of download becomes the same usages. All names and keys are invented."""

from __future__ import annotations

import polars as pl
import pytest

from sporeproof.names.backbone.ask import backbone
from sporeproof.names.backbone.columns import STATUS, common, constants
from sporeproof.names.download.opening import opened
from sporeproof.names.matching.alike import letters
from sporeproof.names.matching.normal_form import normal_form
from sporeproof.names.matching.ranks import WRITTEN
from tests.names.backbone.kinds import (
    BACKBONE,
    CHECKLIST,
    FLAT,
    FLAT_ONLY,
    HIGHER,
    PLACES,
    authorship_of,
    coldp,
    darwin_core,
    rows_of,
    simple,
    simple_line,
)
from tests.names.checklist import Asking
from tests.names.downloads import zipped

ASKED = {
    "Fictum album": "current", "Fictum pallidum": "renamed", "Fictum incertum": "doubtful",
    "Fictum dubium": "split", "Fictum falsum": "doubtful",
}  # fmt: skip

WRITERS = {
    "simple.txt": simple,
    "simple.txt.gz": simple,
    "backbone.zip": darwin_core,
    "headless.zip": lambda rows, path: darwin_core(rows, path, header=False),
    "flat.zip": lambda rows, path: darwin_core(rows, path, FLAT_ONLY),
    "coldp.zip": coldp,
    "wordless.zip": lambda rows, path: coldp(rows, path, words=False),
}


@pytest.fixture(params=WRITERS, scope="module")
def usages(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("kind")
    return rows_of(WRITERS[request.param](CHECKLIST, folder / request.param), folder / "index")


def test_every_kind_gives_the_same_names(usages):
    said = ("key", "canonical", "authorship", "rank", "status")
    assert {key: tuple(row[each] for each in said) for key, row in usages.items()} == {
        key: (key, name, authorship_of(bracket, after), rank, status)
        for key, _, _, rank, status, name, bracket, after in CHECKLIST
    }


def test_every_kind_gives_the_same_places(usages, request):
    found = {key: (row["accepted"], row["species"], row["home"]) for key, row in usages.items()}
    # Without parents nothing tells the species of what stands below one.
    unknown = {"9": (None, None, "Fictum"), "10": ("9", None, "Fictum")}
    assert found == (PLACES | unknown if "flat" in request.node.name else PLACES)
    assert {row["kingdom"] for row in usages.values()} == {"Fungi"}
    assert usages["7"]["line"] == dict(zip(FLAT, HIGHER, strict=True))


def test_what_a_synonym_leads_to_stands_beside_it(usages):
    assert {each: usages["10"][f"accepted_{each}"] for each in ("canonical", "authorship", "rank", "status")} == {
        "canonical": "Fictum album nigrum", "authorship": "Nemo", "rank": "VARIETY", "status": "ACCEPTED",
    }  # fmt: skip


@pytest.mark.parametrize("kind", WRITERS)
def test_every_kind_answers_alike(tmp_path, kind):
    rows_of(WRITERS[kind](CHECKLIST, tmp_path / kind), tmp_path / "index")
    with backbone(tmp_path / "index") as found:
        match = Asking(found).match("Fictum pallidum", kingdom="Fungi")
        assert [each.name for each in match.classification] == [*HIGHER, "Fictum album"]
        outcomes = [Asking(found).verdict(name, kingdom="Fungi").outcome for name in ASKED]
    assert outcomes == list(ASKED.values())


# ----- Words -----


def common_of(folder, lines):
    """Return the common columns of a few rows of `simple.txt`, by key."""
    (folder / "room").mkdir(exist_ok=True)
    path = folder / "few.txt"
    path.write_text("".join(f"{line}\n" for line in lines), "utf-8", newline="")
    return {row["key"]: row for row in common(opened(path, folder / "room")).to_dicts()}


RANKS_READ = {
    "SPECIES": "SPECIES", "species": "SPECIES", "sp.": "SPECIES", "Sp": "SPECIES", "var.": "VARIETY",
    "varietas": "VARIETY", "f.": "FORM", "forma": "FORM", "subsp.": "SUBSPECIES", "ssp": "SUBSPECIES",
    "infraspecific name": "INFRASPECIFIC_NAME", "species-aggregate": "SPECIES_AGGREGATE",
    "section botany": "SECTION_BOTANY", "Unranked": "UNRANKED",
    "FICTIVE_RANK": "FICTIVE_RANK",
}  # fmt: skip
STATES_READ = {
    "accepted": "ACCEPTED", "ACCEPTED": "ACCEPTED", "doubtful": "PROVISIONALLY_ACCEPTED",
    "provisionally accepted": "PROVISIONALLY_ACCEPTED", "PROVISIONALLY_ACCEPTED": "PROVISIONALLY_ACCEPTED",
    "heterotypic synonym": "SYNONYM", "Homotypic_Synonym": "SYNONYM", "synonym": "SYNONYM",
    "proparte synonym": "AMBIGUOUS_SYNONYM", "PROPARTE_SYNONYM": "AMBIGUOUS_SYNONYM",
    "ambiguous synonym": "AMBIGUOUS_SYNONYM", "misapplied": "MISAPPLIED", "MISAPPLIED": "MISAPPLIED",
    "bare name": "BARE_NAME", "fictive state": "FICTIVE_STATE",
}  # fmt: skip


def test_ranks_and_states_are_read_as_people_write_them():
    """The pairs are read from the facts on the service (sections 2, 3 and 9); the fictive ones are invented."""
    for words, known in ((RANKS_READ, WRITTEN), (STATES_READ, STATUS)):
        said = pl.Series(list(words), dtype=pl.String)
        assert constants(said, known).cast(pl.String).to_list() == list(words.values())
    assert constants(pl.Series([None, "sp."]), WRITTEN).cast(pl.String).to_list() == ["", "SPECIES"]


def test_a_synonym_by_a_mark_alone_is_one(tmp_path):
    row = ("7", "", "1", "SPECIES", "SYNONYM", "Fictum album", "", "")
    found = common_of(tmp_path, [simple_line(row, status="SYNONYM"), simple_line(row, id="8", status="")])
    assert {key: (each["status"], each["accepted"]) for key, each in found.items()} == {
        "7": ("SYNONYM", "1"), "8": ("SYNONYM", "1"),
    }  # fmt: skip


def test_what_is_accepted_and_leads_elsewhere_has_no_state(tmp_path):
    row = ("7", "", "1", "SPECIES", "ACCEPTED", "Fictum album", "", "")
    assert common_of(tmp_path, [simple_line(row)])["7"]["status"] == ""


@pytest.mark.parametrize("mark", ["t", ""])
def test_what_is_accepted_and_not_marked_so_settles_nothing(tmp_path, mark):
    row = ("7", "", "", "SPECIES", "ACCEPTED", "Fictum album", "", "")
    assert common_of(tmp_path, [simple_line(row, is_synonym=mark)])["7"]["status"] == ""
    assert common_of(tmp_path, [simple_line(row)])["7"]["status"] == "ACCEPTED"


@pytest.mark.parametrize("state", ["ambiguous synonym", "AMBIGUOUS_SYNONYM", "Misapplied", "heterotypic synonym"])
def test_a_synonym_of_a_package_leads_to_its_parent_however_its_state_is_written(tmp_path, state):
    rows = [*CHECKLIST[:7], ("8", "", "7", "SPECIES", state, "Fictum pallidum", "", "")]
    assert rows_of(coldp(rows, tmp_path / "few.zip"), tmp_path / "index")["8"]["accepted"] == "7"


def test_a_state_left_empty_is_not_told_and_one_without_a_column_is_usual(tmp_path):
    rows = [(*CHECKLIST[6][:4], "", *CHECKLIST[6][5:]), CHECKLIST[7]]
    assert rows_of(darwin_core(rows, tmp_path / "a.zip"), tmp_path / "a")["7"]["status"] == ""
    columns = tuple(each for each in BACKBONE if each != "taxonomicStatus")
    found = rows_of(darwin_core(rows, tmp_path / "b.zip", columns), tmp_path / "b")
    assert {key: row["status"] for key, row in found.items()} == {"7": "ACCEPTED", "8": "SYNONYM"}


def test_a_default_of_the_map_stands_where_nothing_else_does(tmp_path):
    columns = tuple(each for each in FLAT_ONLY if each not in {"kingdom", "taxonomicStatus"})
    file = darwin_core(
        CHECKLIST[6:8], tmp_path / "a.zip", columns, header=False, kingdom="Fungi", taxonomicStatus="doubtful"
    )
    found = rows_of(file, tmp_path / "index")
    assert {row["kingdom"] for row in found.values()} == {"Fungi"}
    assert found["7"]["status"] == "PROVISIONALLY_ACCEPTED"
    assert found["7"]["line"]["family"] == "Fictaceae"


# ----- Letters -----

NAMES = {
    "Fictum øreum": "Fictum øreum", "Fictum flavo-album": "Fictum flavo-album", "×Fictum album": "×Fictum album",
    'Fictum "album"': 'Fictum "album"', "Fictum\\talbum": "Fictum album", "Fictum\\\\talbum": "Fictum\\talbum",
    "Fictum\\\\": "Fictum\\", "Fictum\\nalbum": "Fictum album", "\"Fictum": '"Fictum',
    "Fictum 'Album'": "Fictum 'Album'",
}  # fmt: skip


def test_letters_come_through_as_they_were_meant(tmp_path):
    """Postgres COPY text: a backslash escapes, a quotation mark is a letter (facts, sections 9 and 10)."""
    lines = [simple_line((str(at), "", "", "SPECIES", "ACCEPTED", name, "", "")) for at, name in enumerate(NAMES)]
    found = common_of(tmp_path, lines)
    assert [each["canonical"] for each in found.values()] == list(NAMES.values())
    index = rows_of(tmp_path / "few.txt", tmp_path / "index")
    assert {row["canonical"] for row in index.values()} == set(NAMES.values())
    for row in index.values():
        assert f"{row['first']} {row['rest']}".strip() == normal_form(row["canonical"])
        assert row["letters"] == letters(row["rest"])


def test_what_has_no_canonical_name_stands_as_it_is_written(tmp_path):
    row = ("7", "", "", "UNRANKED", "ACCEPTED", "", "", "")
    found = common_of(tmp_path, [simple_line(row, scientific_name="SH000001.00FU")])
    assert found["7"]["canonical"] == "SH000001.00FU"


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_line_ends_are_no_part_of_the_last_cell(tmp_path, ending):
    text = ending.join(["ID\tparentID\tstatus\trank\tscientificName", "7\t\taccepted\tspecies\tFictum album", ""])
    path = tmp_path / "few.zip"
    path.write_bytes(zipped({"NameUsage.tsv": text}))
    assert rows_of(path, tmp_path / "index")["7"]["canonical"] == "Fictum album"
