"""Ids for new entries: the next after all that were ever given, and never one twice. The taxa are invented."""

from __future__ import annotations

import pytest

from sporeproof import run
from sporeproof.records.read import TAXA, Companion
from sporeproof.tables.numbers import NotNumbered, number, write_numbers
from sporeproof.text.read import Page
from tests.names.invented import lay, tree

RETIRED = {
    "F9020": {"was": "Fictum vetus", "replaced_by": ["F9001"], "since": "1.0.0", "because": "Invented."},
    "F9011": {"was": "Fictum priscum", "consider": ["F9030", "F9001"], "since": "1.0.0", "because": "Invented."},
}


def entry(id: str, name: str, more: str = "") -> str:
    rest = "edibility: {verdict: unknown}\nreview: {state: unreviewed}"
    return f"# top\nid: {id}   # stays\nname: {name}\nrank: species\n{more}{rest}"


ENTRIES = {
    "fictum-altum": entry("new", "Fictum altum"),
    "fictum-commune": entry("F9001", "Fictum commune", "confusions: [{with: Fictum altum}]\n"),
    "fictum-imum": entry("'new'", "Fictum imum").replace("\n", "\r\n"),
}


def retired(value=None, troubles=()) -> Companion:
    page = Page("dataset/retired.yaml", troubles=list(troubles))
    return Companion(page, value or {})


def given(entries, form, tmp_path, gone=None) -> list[tuple[str, str]]:
    root = lay(tmp_path / "invented", entries, [])
    readings = run.read_whole(root, form).readings
    return [(each.stem, id) for each, id in number(readings, gone or retired())]


def test_ids_follow_the_highest_in_the_order_of_the_files(form, tmp_path):
    assert given(ENTRIES, form, tmp_path) == [("fictum-altum", "F9002"), ("fictum-imum", "F9003")]


def test_retired_ids_and_what_they_lead_to_are_never_given_again(form, tmp_path):
    assert given(ENTRIES, form, tmp_path, retired(RETIRED)) == [("fictum-altum", "F9031"), ("fictum-imum", "F9032")]


def test_the_first_id_has_four_digits_and_longer_ones_grow(form, tmp_path):
    alone = {"fictum-altum": ENTRIES["fictum-altum"]}
    assert given(alone, form, tmp_path) == [("fictum-altum", "F0001")]
    many = alone | {"fictum-commune": entry("F9999", "Fictum commune")}
    assert given(many, form, tmp_path / "many") == [("fictum-altum", "F10000")]


def test_nothing_but_the_id_changes_and_a_second_run_gives_none(form, tmp_path):
    root = lay(tmp_path / "invented", ENTRIES, [])
    before = tree(root)
    for _ in range(2):
        write_numbers(number(run.read_whole(root, form).readings, retired()), root)
        after = tree(root)
        assert after == before | {
            f"{TAXA}/fictum-altum.yaml": before[f"{TAXA}/fictum-altum.yaml"].replace(b"id: new ", b"id: F9002 "),
            f"{TAXA}/fictum-imum.yaml": before[f"{TAXA}/fictum-imum.yaml"].replace(b"id: 'new'", b"id: 'F9003'"),
        }
    assert number(run.read_whole(root, form).readings, retired()) == []


def test_a_run_that_ended_half_way_is_finished_with_the_same_ids(form, tmp_path):
    root = lay(tmp_path / "invented", ENTRIES, [])
    numbers = number(run.read_whole(root, form).readings, retired())
    write_numbers(numbers[:1], root)
    assert [id for _, id in number(run.read_whole(root, form).readings, retired())] == [id for _, id in numbers[1:]]


UNSAFE = [
    ("an entry that cannot be read", {"fictum-rarum": "id: [\n"}, "fictum-rarum.yaml gives no id"),
    ("an id that is none", {"fictum-rarum": entry("F99", "Fictum rarum")}, "fictum-rarum.yaml gives no id"),
    ("no id", {"fictum-rarum": "name: Fictum rarum\n"}, "fictum-rarum.yaml gives no id"),
    (
        "a link by a file's name",
        {"fictum-rarum": entry("F9002", "Fictum rarum", "members: [fictum-altum]\n")},
        "rarum.yaml:5: `fictum-altum` .* write Fictum altum",
    ),
]


@pytest.mark.parametrize(("more", "says"), [row[1:] for row in UNSAFE], ids=[row[0] for row in UNSAFE])
def test_no_id_is_given_where_one_could_be_given_twice_or_a_link_lost(more, says, form, tmp_path):
    with pytest.raises(NotNumbered, match=says):
        given(ENTRIES | more, form, tmp_path)


def test_no_id_is_given_while_the_retired_ones_cannot_be_read(form, tmp_path):
    root = lay(tmp_path / "invented", ENTRIES, [])
    (root / "dataset" / "retired.yaml").write_text("F9021: {was: [}\n", "utf-8")
    dataset = run.read_whole(root, form)
    with pytest.raises(NotNumbered, match="retired"):
        number(dataset.readings, dataset.companions["retired"])


def test_what_somebody_wrote_meanwhile_is_not_written_over(form, tmp_path):
    root = lay(tmp_path / "invented", ENTRIES, [])
    numbers = number(run.read_whole(root, form).readings, retired())
    (root / TAXA / "fictum-imum.yaml").write_text(entry("F9050", "Fictum imum"), "utf-8")
    before = tree(root)
    with pytest.raises(NotNumbered, match="meanwhile"):
        write_numbers(numbers, root)
    assert tree(root) == before
