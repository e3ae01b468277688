"""The names of a dataset asked of an index: recorded beside the other answers, and heard first."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from sporeproof import indexed
from sporeproof.cli import main
from sporeproof.names.answers import parse_answers
from tests.names.checklist import line_of, packed

ROOT = Path(__file__).parents[2]
PLACE = ("Fungi", "Basidiomycota", "Agaricomycetes", "Agaricales", "Fictaceae")
KEY = "d7dddbf4-2cf0-4f39-9b2a-bb099caae36c"  # the key of GBIF's backbone; what this index holds is invented


@pytest.fixture
def asked(tmp_path):
    """The real dataset, and an index that holds two of its names: one accepted, one as a synonym of an invented one."""
    for folder in ("dataset", "schema"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    rows = [
        *line_of(*PLACE, "Hydnum", "Hydnum repandum"),
        *line_of(*PLACE, "Fictum", "Fictum novum | Nemo"),
        *line_of(*PLACE, "Boletus"),
        ("s1", "Fictum novum", "synonym", "species", "Boletus edulis", ""),
    ]
    indexed.names_index(packed(list(dict.fromkeys(rows)), tmp_path / "checklist.zip"), tmp_path / "index")
    return tmp_path


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def refreshed(root, *more):
    return run("names", "refresh", "--dataset", root, "--index", root / "index", *more)


def answers(root, name):
    found, troubles = parse_answers((root / "dataset/names.csv").read_bytes(), "dataset/names.csv")
    assert not troubles
    return [replace(each, line=0) for each in found.asked(name, "")]


def test_answers_of_an_index_are_recorded_beside_the_others(asked):
    before = answers(asked, "Boletus edulis")
    done = refreshed(asked, "--checklist", "backbone")
    assert done.exit_code == 0, done.output
    (new,) = [each for each in answers(asked, "Boletus edulis") if each.obtained == "backbone-file"]
    assert (new.outcome, new.accepted_name, new.accepted_authorship) == ("renamed", "Fictum novum", "Nemo")
    assert (new.checklist_key, new.usage_key, new.accepted_key) == (KEY, "s1", "Fictum novum")
    assert "SHA-256" in new.checklist_release
    assert [each for each in answers(asked, "Boletus edulis") if each.obtained != "backbone-file"] == before
    assert [each.outcome for each in answers(asked, "Hydnum repandum") if each.obtained == "backbone-file"] == [
        "current"
    ]
    told = run("names", "check", "--dataset", asked)
    assert told.exit_code == 1
    assert "name.stale-current-name" in told.output  # the newest authoritative answer speaks


def test_a_second_run_takes_the_place_of_the_first(asked):
    refreshed(asked, "--checklist", "backbone")
    once = (asked / "dataset/names.csv").read_bytes()
    refreshed(asked, "--checklist", "backbone")
    assert (asked / "dataset/names.csv").read_bytes() == once


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ((), "say with --checklist only"),
        (("--checklist", "backbone", "--dry-run"), "say with --checklist only"),
        (("--checklist", "nonsense"), "is no checklist"),
    ],
)
def test_what_is_said_wrong_changes_nothing(asked, more, says):
    before = (asked / "dataset/names.csv").read_bytes()
    done = refreshed(asked, *more)
    assert done.exit_code == 2
    assert says in done.output
    assert (asked / "dataset/names.csv").read_bytes() == before


def test_a_folder_without_an_index_is_told(asked):
    done = run("names", "refresh", "--dataset", asked, "--index", asked / "dataset", "--checklist", "backbone")
    assert done.exit_code == 2
    assert "holds no index" in done.output
