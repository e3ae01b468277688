"""The package: the same bytes each time, whole, true to its checksums, refused for a reason that can be mended."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys

import polars as pl
import pytest

from sporeproof.form.load import load_form
from sporeproof.release.content import Content
from sporeproof.release.formats.to_csv import csv_of
from sporeproof.release.formats.to_parquet import parquet_of
from sporeproof.release.package import package
from sporeproof.release.provenance import provenance
from sporeproof.release.publish import publish
from sporeproof.release.read import read_package
from sporeproof.release.refusals import SENTENCES, TYPES, Refused, ReleaseError, sentence
from sporeproof.tables.faults import Fault, frame_of, frames
from tests.conftest import ROOT
from tests.release.edition import WORDS, edition, published

FORM = load_form(ROOT / "schema")


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    return published(FORM, tmp_path_factory.mktemp("first"))


def everything(folder):
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_what_is_read_back_is_what_was_written(first):
    made = frames(edition(FORM), FORM)
    found = read_package(first.folder)
    assert found.version == first.version
    assert found.frames.keys() == made.keys() == FORM.tables.keys()
    for name, frame in made.items():
        assert found.frames[name].equals(frame, null_equal=True), name
        assert pl.read_parquet(first.folder / f"parquet/{name}.parquet").equals(frame, null_equal=True), name


def test_the_same_tables_give_the_same_bytes(first, tmp_path):
    again = published(FORM, tmp_path)
    assert everything(again.folder) == everything(first.folder)


def test_another_run_another_day_gives_the_same_bytes(first, tmp_path):
    """In a process of its own, with another seed for hashes and another clock zone."""
    code = (
        "import sys; from pathlib import Path; from sporeproof.form.load import load_form;"
        "from tests.release.edition import published;"
        "published(load_form(Path(sys.argv[1])), Path(sys.argv[2]))"
    )
    environment = {"PYTHONHASHSEED": "7", "TZ": "Pacific/Auckland", "LC_ALL": "C", "PATH": ""}
    arguments = [sys.executable, "-c", code, str(ROOT / "schema"), str(tmp_path)]
    subprocess.run(arguments, cwd=ROOT, env=environment, check=True)
    assert everything(tmp_path / first.folder.name) == everything(first.folder)


def test_a_second_run_changes_nothing_and_says_so(tmp_path):
    one = published(FORM, tmp_path)
    before = {path: path.stat().st_mtime_ns for path in one.folder.rglob("*")}
    two = published(FORM, tmp_path)
    assert (one.changed, two.changed) == (True, False)
    assert {path: path.stat().st_mtime_ns for path in two.folder.rglob("*")} == before


def test_an_unchanged_edition_keeps_version_and_news(tmp_path):
    def change(e):
        e.entries["F9004"].update(family="Fictaceae")

    one = published(FORM, tmp_path)
    two = published(FORM, tmp_path, change, one.folder)
    three = published(FORM, tmp_path, change, two.folder)
    assert (two.version, three.version, three.changed) == ("0.2.0", "0.2.0", False)
    assert two.news == three.news


def test_other_words_of_the_package_alone_raise_the_last_number(first, tmp_path):
    words = {**WORDS, "title": "Another title"}
    made = publish(edition(FORM), FORM, words, "The licence.\n", first.folder, tmp_path)
    assert made.version == "0.1.1"


def test_a_folder_with_other_content_is_never_overwritten(tmp_path):
    one = published(FORM, tmp_path)
    (one.folder / "news.md").write_text("mine")
    with pytest.raises(ReleaseError, match=r"differs in news\.md.*--previous"):
        published(FORM, tmp_path)
    assert (one.folder / "news.md").read_text() == "mine"


def test_a_file_or_a_link_in_the_folders_place_is_refused(tmp_path):
    place = tmp_path / "fernhollow-data-0.1.0"
    place.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(ReleaseError, match="no folder of its own"):
        published(FORM, tmp_path)
    assert not (tmp_path / "elsewhere").exists()


def test_csv_is_utf8_with_lf_empty_for_unknown_and_plain_numbers():
    rows = [
        ("F9001", "b", "any", 30.0, 70.5, "mm", ""),
        ("F9001", "a", "any", 0.25, 1e6, "mm", 'said "so", once'),
    ]
    text = csv_of(frame_of(rows, FORM.tables["measurements"]), FORM.tables["measurements"]).decode()
    assert text == (
        "taxon_id,character_id,stage,low,high,unit,source_ids\n"
        'F9001,a,any,0.25,1000000,mm,"said ""so"", once"\n'
        "F9001,b,any,30,70.5,mm,\n"
    )


def test_csv_and_parquet_do_not_depend_on_the_order_of_rows(first):
    for name, frame in read_package(first.folder).frames.items():
        schema, other = FORM.tables[name], frame[::-1]
        assert csv_of(other, schema) == csv_of(frame, schema)
        assert parquet_of(other, schema) == parquet_of(frame, schema)


def test_the_checksums_name_every_other_file(first):
    files = {path.as_posix(): data for path, data in everything(first.folder).items()}
    lines = files.pop("SHA256SUMS").decode()
    assert lines == "".join(f"{hashlib.sha256(files[path]).hexdigest()}  {path}\n" for path in sorted(files))


def test_the_package_says_what_it_is_and_what_it_never_says(first):
    text = " ".join((first.folder / "README.md").read_text("utf-8").split())
    assert "No record of a protection means *not recorded here*, never *allowed*" in text
    assert "support identification by a competent person" in text
    assert "You can take any newer version of the same major number without changing your code" in text
    assert all(f"| `{name}` | {first.counts[name]} |" in text for name in FORM.tables)
    assert (first.folder / "LICENSE").read_text("utf-8") == "The licence.\n"


def test_the_descriptor_holds_nothing_of_this_house(first):
    text = (first.folder / "datapackage.json").read_text("utf-8")
    found = json.loads(text)
    assert '"change"' not in text
    assert found["description"] == WORDS["description"]
    assert not {"created", "similarity_threshold"} & found.keys()
    assert text == json.dumps(found, ensure_ascii=False, indent=2, sort_keys=True) + "\n"


def test_a_package_without_a_licence_text_has_no_licence_file():
    made = frames(edition(FORM), FORM)
    content = Content(made, FORM, WORDS, "0.1.0", provenance(made, FORM, WORDS, "0.1.0", "0.1.0", "0.1.0"))
    assert "LICENSE" not in dict(package(content, {"news.md": b"news\n"}))


# Refusals


def refused(tmp_path, change=lambda _: None, words=WORDS, previous=None) -> list[str]:
    with pytest.raises(Refused) as caught:
        publish(edition(FORM, change), FORM, words, None, previous, tmp_path / "out")
    assert not (tmp_path / "out").exists()
    return caught.value.reasons


def test_an_entry_without_a_number_is_refused_by_name(tmp_path):
    reasons = refused(tmp_path, lambda e: e.entries["F9004"].update(id="new"))
    assert reasons == ["Fictum vetus has no number yet. Give it one with `sporeproof number`."]


def test_each_fault_of_a_table_is_listed_in_words(tmp_path):
    def change(e):
        e.entries["F9001"]["confusions"][0]["note"] = "=1+1"
        e.entries["F9002"]["rank"] = "speices"

    assert refused(tmp_path, change) == [
        "confusions, row 1, note: a spreadsheet would run `=1+1` as a formula; let it begin with a word.",
        "taxa, row 2, rank: `speices` is not a word that this column knows.",
    ]


def test_unseen_signs_are_shown_and_never_printed_raw(tmp_path):
    def change(e):
        e.entries["F9001"]["confusions"][0]["note"] = "a\x1b[2Jb"

    (reason,) = refused(tmp_path, change)
    assert "a\\u{1b}[2Jb" in reason
    assert "\x1b" not in reason


def test_many_faults_are_counted(tmp_path):
    reasons = refused(tmp_path, lambda e: e.rows.update(uses=[(f"F9{n}", "tinder") for n in range(100, 200)]))
    assert len(reasons) == 51
    assert reasons[-1] == "And 50 more like these."


@pytest.mark.parametrize("kind", SENTENCES)
def test_every_fault_has_a_sentence_without_the_words_of_programs(kind):
    text = sentence(Fault("seasons", 3, "month", kind, "x"), FORM)
    assert text.startswith("seasons, row 3, month: ")
    assert not {"invalid", "None", "dict", "null", "{", "}"} & set(text.split())


def test_every_type_has_a_name_in_plain_words():
    assert {each["type"] for schema in FORM.tables.values() for each in schema["fields"]} <= TYPES.keys()


def test_a_dataset_without_entries_or_without_words_is_refused(tmp_path):
    assert refused(tmp_path, lambda e: e.entries.clear()) == ["There is no entry to publish."]
    words = {**WORDS, "licence": None, "name": "../elsewhere"}
    reasons = refused(tmp_path, words=words)
    assert reasons[0] == "dataset/package.yaml does not give: licence."
    assert "../elsewhere, which cannot be the name of a folder" in reasons[1]


def test_an_id_that_vanishes_is_refused(first, tmp_path):
    (reason,) = refused(tmp_path, lambda e: e.entries.pop("F9004"), previous=first.folder)
    assert reason.startswith("0.1.0 knows F9004 Fictum vetus; neither an entry nor dataset/retired.yaml does now.")


def test_a_retired_id_that_vanishes_is_refused(first, tmp_path):
    second = published(FORM, tmp_path / "a", lambda e: e.retire("F9005"), first.folder)
    (reason,) = refused(tmp_path, lambda e: e.entries.pop("F9005"), previous=second.folder)
    assert "F9005" in reason


def test_a_version_of_another_dataset_is_no_previous_one(first, tmp_path):
    with pytest.raises(ReleaseError, match="is a version of fernhollow-data and not of other-data"):
        publish(edition(FORM), FORM, {**WORDS, "name": "other-data"}, None, first.folder, tmp_path)
