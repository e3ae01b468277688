"""A new entry explains itself, and all that it offers can be used. The taxa are invented."""

from __future__ import annotations

import re

import pytest

from sporeproof.names.skeleton import NameRefused, skeleton, write_new
from sporeproof.records.build import build
from sporeproof.records.read import TAXA, reading_of
from sporeproof.text.read import read_page
from tests.names.invented import tree

USABLE = re.compile(r"# (?=[ a-z-])")


def test_only_what_a_person_alone_can_know_is_asked_for(form):
    file, text = skeleton("Fictum commune", form, "(Fr.) Nemo")
    reading = reading_of(read_page(text.encode(), file), form.entry)
    assert file == "fictum-commune.yaml"
    assert [(each.kind, reading.page.mark((each.at.line - 1, 0, 1)).excerpt) for each in reading.page.troubles] == [
        ("nothing-given", "  verdict:")
    ]
    assert reading.entry.value == {
        "id": "new",
        "name": "Fictum commune",
        "authorship": "(Fr.) Nemo",
        "rank": "species",
        "edibility": {},
        "review": {"state": "unreviewed"},
    }


def test_every_key_and_sentence_and_word_of_the_schema_stands_in_it(form):
    _, text = skeleton("Fictum commune", form)
    words = " ".join(re.sub(r"(?m)^## *", "", text).split())
    for key, shape in form.entry.keys.items():
        assert re.search(rf"(?m)^(# )?{key}:", text), key
        assert shape.says in words
    for name in ("verdicts", "needs", "cautions", "syndromes", "uses", "substrates", "habitats", "ranks", "severities"):
        assert ", ".join(form.vocabularies[name]) in words
    for character in form.characters.values():
        assert text.count(f"\n#   {character.id}: []\n") == 1
        assert ", ".join(character.states) in words


def test_all_that_is_commented_out_can_be_used_as_it_stands(form):
    """Uncommented as a whole, it reads, and asks for nothing but values."""
    _, text = skeleton("Fictum commune", form, "Nemo")
    page = read_page(
        "\n".join(
            USABLE.sub("", line, count=1) if line.startswith("# ") else line for line in text.split("\n")
        ).encode(),
        "",
    )
    assert page.troubles == []
    assert page.root.value.keys() == form.entry.keys.keys()
    assert page.root.value["characters"].value.keys() == form.characters.keys()
    build(page, form.entry)
    assert {each.kind for each in page.troubles} == {"nothing-given"}


RANKS = [
    ("Fictum", "genus", "fictum.yaml"),
    ("Fictum commune", "species", "fictum-commune.yaml"),
    ("  Fictum   commune ", "species", "fictum-commune.yaml"),
    ("Fictum commune var. minus", "variety", "fictum-commune-var-minus.yaml"),
    ("Fictum commune subsp. minus", "subspecies", "fictum-commune-subsp-minus.yaml"),
    ("Fictum commune f. minus", "form", "fictum-commune-f-minus.yaml"),
    ("Fictum commune group", "species-group", "fictum-commune-group.yaml"),
]


@pytest.mark.parametrize(("name", "rank", "file"), RANKS)
def test_the_name_says_rank_and_file(name, rank, file, form):
    found, text = skeleton(name, form)
    assert found == file
    assert f"\nname: {' '.join(name.split())}\n" in text
    assert f"\nrank: {rank}\n" in text


BAD = [
    ("", "empty"),
    ("   ", "empty"),
    ("fictum commune", "capital"),
    ("Fictum Commune", "small"),
    ("FICTUM COMMUNE", "small"),
    ("Fictum cf. commune", "not part of a name"),
    ("Fictum sp.", "not part of a name"),
    ("Fictum commune (Fr.) Nemo", "author goes into"),
    ("Fictum commune Fr.", "more follows"),
    ("Fictum commune minus", "before it"),
    ("Fictum commune var.", "nothing follows"),
    ("Fictum commüne", "letter with a sign"),
    ("../../etc/passwd", "not part of a name"),
    ("Fictum/commune", "not part of a name"),
    ("Fictum commune\x00", "not part of a name"),
    ("Fictum 7", "not part of a name"),
]


@pytest.mark.parametrize(("name", "says"), BAD)
def test_a_name_that_is_none_is_refused_with_the_reason(name, says, form):
    with pytest.raises(NameRefused, match=says):
        skeleton(name, form)


def test_an_authorship_is_quoted_where_it_must_be(form):
    assert "\nauthorship: 'Nemo: Fr.'\n" in skeleton("Fictum commune", form, "Nemo:  Fr.")[1]
    with pytest.raises(NameRefused, match="authorship"):
        skeleton("Fictum commune", form, "Ne\u202emo")


def test_a_new_entry_is_written_whole_and_never_over_another(tmp_path):
    assert write_new(tmp_path, "fictum-commune.yaml", "id: new\n").read_text("utf-8") == "id: new\n"
    with pytest.raises(NameRefused, match="is there already"):
        write_new(tmp_path, "fictum-commune.yaml", "id: other\n")
    assert tree(tmp_path) == {f"{TAXA}/fictum-commune.yaml": b"id: new\n"}


def test_a_link_to_nowhere_is_not_written_through(tmp_path):
    (tmp_path / TAXA).mkdir(parents=True)
    (tmp_path / TAXA / "fictum-commune.yaml").symlink_to(tmp_path / "aside.yaml")
    with pytest.raises(NameRefused):
        write_new(tmp_path, "fictum-commune.yaml", "id: new\n")
    assert not (tmp_path / "aside.yaml").exists()
