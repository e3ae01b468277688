"""What a row of an index knows of its place, and what comes of rows that contradict. Names and keys are invented."""

from __future__ import annotations

import pytest

from sporeproof import indexed
from sporeproof.run import Stopped
from tests.names.backbone.kinds import CHECKLIST, FLAT, HIGHER, coldp, darwin_core, rows_of, simple_line
from tests.names.checklist import held, packed

# Rows as tests/names/checklist.py has them: key, parent, status, rank, name, authorship.
ABOVE = [
    (name, HIGHER[at - 1] if at else "", "accepted", rank, name, "")
    for at, (rank, name) in enumerate(zip(FLAT, HIGHER, strict=True))
]
ALBUM = ("a", "Fictum", "accepted", "species", "Fictum album", "Nemo")


def written(rows, folder):
    """Index rows; return the usages by key."""
    return rows_of(packed(rows, folder / "few.zip"), folder / "index")


def outcome(rows, name, kingdom="Fungi", **said):
    with held(rows) as asking:
        return asking.verdict(name, kingdom=kingdom, **said).outcome


def test_a_sound_checklist_settles_its_names():
    rows = [*ABOVE, ALBUM, ("s", "a", "synonym", "species", "Mendax album", "Nemo")]
    assert outcome(rows, "Fictum album") == "current"
    assert outcome(rows, "Mendax album") == "renamed"
    assert outcome(rows, "Fictum album", kingdom="Plantae") == "unknown"


def test_a_synonym_of_something_infraspecific_lies_in_its_species(tmp_path):
    rows = [
        *ABOVE, ALBUM, ("v", "a", "accepted", "variety", "Fictum album var. nigrum", ""),
        ("s", "v", "synonym", "form", "Mendax album f. rarus", ""),
    ]  # fmt: skip
    found = written(rows, tmp_path)
    assert (found["s"]["accepted"], found["s"]["species"], found["s"]["home"]) == ("v", "a", "Fictum")
    with held(rows) as asking:
        match = asking.match("Mendax album f. rarus", kingdom="Fungi")
        assert [each.key for each in match.classification] == [*HIGHER, "a", "v"]
        assert asking.verdict("Mendax album f. rarus", kingdom="Fungi").outcome == "renamed"


def test_a_synonym_of_a_synonym_is_not_followed_a_second_time(tmp_path):
    rows = [
        *ABOVE, ALBUM, ("s", "a", "synonym", "species", "Mendax albus", ""),
        ("t", "s", "synonym", "species", "Vagus niger", ""),
    ]  # fmt: skip
    found = written(rows, tmp_path)
    assert (found["t"]["accepted"], found["t"]["accepted_status"]) == ("s", "SYNONYM")
    assert found["t"]["kingdom"] == "Fungi"
    assert outcome(rows, "Vagus niger") == "doubtful"


@pytest.mark.parametrize("leads", ["", "nowhere", "s"])
def test_a_synonym_without_an_accepted_usage_settles_nothing(tmp_path, leads):
    rows = [*ABOVE, ("s", leads, "synonym", "species", "Mendax albus", "")]
    found = written(rows, tmp_path)["s"]
    assert (found["home"], found["kingdom"], found["species"]) == (None, None, None)
    assert outcome(rows, "Mendax albus") == "doubtful"
    assert outcome(rows, "Mendax albus", kingdom="") != "renamed"
    assert outcome(rows, "Mendax albus", kingdom="") != "current"


def test_the_parent_of_a_synonym_is_never_taken_for_its_accepted_usage(tmp_path):
    """A Darwin Core row may be a synonym that has a parent and tells of no accepted usage."""
    rows = [*CHECKLIST[:7], ("8", "7", "", "VARIETY", "SYNONYM", "Fictum album rarum", "", "")]
    found = rows_of(darwin_core(rows, tmp_path / "few.zip"), tmp_path / "index")["8"]
    assert (found["accepted"], found["accepted_canonical"], found["home"]) == (None, None, "Fictum")


def test_a_parent_that_is_missing_leaves_a_name_without_a_kingdom(tmp_path):
    rows = [("Fictum", "nowhere", "accepted", "genus", "Fictum", ""), ALBUM]
    found = written(rows, tmp_path)["a"]
    assert (found["home"], found["kingdom"], found["species"]) == ("Fictum", None, "a")
    assert outcome(rows, "Fictum album") == "doubtful"
    assert outcome(rows, "Fictum album", kingdom="") == "current"


CIRCLES = {
    "itself": [("Fictum", "Fictum", "accepted", "genus", "Fictum", ""), ALBUM],
    "its own parent": [("a", "a", "accepted", "species", "Fictum album", "Nemo")],
    "two": [
        ("Fictum", "Fictaceae", "accepted", "genus", "Fictum", ""),
        ("Fictaceae", "Fictum", "accepted", "family", "Fictaceae", ""), ALBUM,
    ],
    "through a synonym": [
        ("Fictum", "Mendax", "accepted", "genus", "Fictum", ""),
        ("Mendax", "Fictum", "synonym", "genus", "Mendax", ""), ALBUM,
    ],
    "two species": [
        ("a", "b", "accepted", "species", "Fictum album", "Nemo"),
        ("b", "a", "accepted", "species", "Fictum nigrum", ""),
    ],
    "two synonyms": [
        ("a", "b", "synonym", "species", "Fictum album", "Nemo"),
        ("b", "a", "synonym", "species", "Fictum nigrum", ""),
    ],
}  # fmt: skip


@pytest.mark.parametrize("rows", CIRCLES.values(), ids=list(CIRCLES))
def test_what_leads_round_in_a_circle_lies_in_nothing(rows):
    with held(rows) as asking:
        match = asking.match("Fictum album", kingdom="Fungi")
        keys = [each.key for each in match.classification]
        assert len(keys) == len(set(keys)) <= 2
        assert not match.higher("KINGDOM")
        assert asking.verdict("Fictum album", kingdom="Fungi").outcome == "doubtful"


def test_a_parent_that_is_a_synonym_stands_for_its_accepted_usage(tmp_path):
    rows = [
        *ABOVE, ("old", "Fictaceae", "synonym", "family", "Oldaceae", ""),
        ("Mendax", "old", "accepted", "genus", "Mendax", ""),
        ("b", "Mendax", "accepted", "species", "Mendax albus", ""),
    ]  # fmt: skip
    found = written(rows, tmp_path)
    assert found["b"]["line"] == {**dict(zip(FLAT, HIGHER, strict=True)), "genus": "Mendax"}
    assert outcome(rows, "Mendax albus") == "current"


def test_ranks_that_nobody_knows_do_not_make_a_species_a_higher_taxon(tmp_path):
    rows = [
        *ABOVE, ("x", "Fictum", "accepted", "fictive rank", "Fictum album", ""),
        ("y", "x", "accepted", "", "Fictum album nigrum", ""),
        ("z", "Fictaceae", "accepted", "unranked", "Fictoides", ""),
        ("w", "z", "accepted", "species", "Fictoides rarus", ""),
    ]  # fmt: skip
    found = written(rows, tmp_path)
    assert (found["x"]["rank"], found["x"]["home"], found["y"]["home"]) == ("FICTIVE_RANK", "Fictum", "Fictum")
    assert found["w"]["home"] == "Fictoides"
    assert {row["kingdom"] for row in found.values()} == {"Fungi"}


def test_names_beside_a_name_place_it_where_no_parent_does(tmp_path):
    """Of a higher taxon only the names above it count: a genus lies in its family and not in itself."""
    rows = [(key, "", *rest) for key, _, *rest in (CHECKLIST[5], CHECKLIST[6])]
    file = darwin_core(rows, tmp_path / "flat.zip")
    found = rows_of(file, tmp_path / "index")
    assert found["6"]["line"] == found["7"]["line"] == dict(zip(FLAT, HIGHER, strict=True))
    assert found["6"]["key"] == "6"
    assert found["6"]["home"] == "Fictum"


def test_names_beside_a_name_are_its_classification_when_it_is_asked(tmp_path):
    from sporeproof.names.backbone.ask import backbone
    from tests.names.checklist import Asking

    rows = [(key, "", *rest) for key, _, *rest in (CHECKLIST[5], CHECKLIST[6])]
    indexed.names_index(darwin_core(rows, tmp_path / "flat.zip"), tmp_path / "index")
    with backbone(tmp_path / "index") as found:
        asking = Asking(found)
        for name in ("Fictum album", "Fictum"):
            match = asking.match(name, kingdom="Fungi")
            assert [each.name for each in match.classification][:6] == list(HIGHER), name
        assert asking.verdict("Fictum album", kingdom="Fungi").outcome == "current"
        assert asking.verdict("Fictum album", kingdom="Plantae").outcome == "unknown"


def test_only_what_is_alone_with_its_normal_form_is_marked(tmp_path):
    rows = [*ABOVE, ALBUM, ("b", "Fictum", "accepted", "species", "Fictum alba", ""),
            ("c", "Fictum", "accepted", "species", "Fictum nigrum", "")]  # fmt: skip
    alone = {key: row["alone"] for key, row in written(rows, tmp_path).items()}
    assert (alone["a"], alone["b"], alone["c"]) == (False, False, True)


def test_the_order_of_the_rows_does_not_matter(tmp_path):
    kept = {}
    for at, rows in enumerate((CHECKLIST, CHECKLIST[::-1])):
        found = rows_of(coldp(rows, tmp_path / f"{at}.zip"), tmp_path / f"index-{at}")
        kept[at] = {key: found[key] for key in sorted(found)}
    assert kept[0] == kept[1]


def refused(rows, folder):
    """Index rows of `simple.txt`; return what is said."""
    (folder / "simple.txt").write_text("".join(f"{row}\n" for row in rows), "utf-8")
    with pytest.raises(Stopped) as caught:
        indexed.names_index(folder / "simple.txt", folder / "index")
    assert not list((folder / "index").iterdir())
    return str(caught.value)


def test_keys_that_stand_twice_are_refused(tmp_path):
    rows = [simple_line(row) for row in CHECKLIST]
    said = refused([*rows, rows[6]], tmp_path)
    assert "the key 7 stands in it more than once" in said


def test_rows_without_a_key_or_a_name_are_refused(tmp_path):
    rows = [simple_line(row) for row in CHECKLIST]
    assert "1 of its 16 rows have no key or no name" in refused(
        [*rows, simple_line(CHECKLIST[6], id="16", canonical_name="", scientific_name="")], tmp_path
    )
