"""How a name is read before it is looked up. Names with `Fictum` are invented."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.names.matching.asked import Given, asked_all


def read(name: str, authorship: str = "", rank: str = "", **higher: str):
    (found,) = asked_all([Given(name, authorship, rank, higher)])
    return found


@pytest.mark.parametrize(
    "name",
    [
        "Fictum cf. commune", "Fictum aff. commune", "Fictum commune ?", "Fictum ?commune", "Fictum commune s.l.",
        "Fictum commune s. lat.", "Fictum commune sensu auct.", "Fictum commune auct. non Pers.",
        "Fictum commune p.p.", "Fictum commune p. p.", "Fictum commune agg.", "Fictum commune group",
        "Fictum commune complex", "Fictum commune/album", "Fictum commune [cf.]", "Fictum commune s. str.",
        "Fictum commune sensu Nemo", "Fictum commune nom. prov.", "Fictum commune ined.",
    ],
)  # fmt: skip
def test_what_makes_a_name_doubtful_is_read(name):
    assert read(name).marks


@pytest.mark.parametrize(
    "name",
    ["Fictum commune", "Fictum commune (Fr.) Nemo", "Fictum commune f. album", "Fictum commune L.f.",
     "Fictum commune var. commune", "Fictum commune Nemo & Alius ex Fr.", "Fictum commune Fr., 1821"],
)  # fmt: skip
def test_a_plain_name_has_no_mark(name):
    found = read(name)
    assert (found.marks, found.scientific, found.is_indet) == ((), True, False)


@pytest.mark.parametrize(
    ("name", "authorship"), [("Fictum commune (Fr.) Nemo", ""), ("Fictum commune", "(Fr.) Nemo"),
                             ("Fictum commune (Fr.) Nemo", "(Fr.) Nemo")]
)  # fmt: skip
def test_the_author_is_kept_apart(name, authorship):
    found = read(name, authorship)
    assert (found.canonical, found.authorship) == ("Fictum commune", "(Fr.) Nemo")


def test_two_authors_are_a_doubt():
    assert read("Fictum commune Nemo", "Alius").marks


def test_an_autonym_is_known():
    found = read("Agaricus campestris L. var. campestris")
    assert (found.canonical, found.is_autonym, found.rank) == ("Agaricus campestris campestris", True, "VARIETY")
    assert not read("Agaricus campestris").is_autonym


@pytest.mark.parametrize("name", ["Fictum sp.", "Fictum spec."])
def test_an_unnamed_species_is_its_genus(name):
    found = read(name)
    assert (found.canonical, found.is_indet) == ("Fictum", True)


def test_a_shortened_genus_is_written_out_where_it_is_told():
    assert read("A. muscaria", genus="Amanita").canonical == "Amanita muscaria"
    assert read("A. muscaria", genus="Boletus").canonical == "A. muscaria"
    assert read("A. muscaria").canonical == "A. muscaria"


@pytest.mark.parametrize(
    "name", ["Fictum_commune", "Fictum  commune", "Fictum\x00commune", "Fictum\tcommune", "Fictum commune [a note]",
             "Fictum commune {a note}"]
)  # fmt: skip
def test_brackets_underscores_and_control_signs_are_cleaned(name):
    assert read(name).canonical == "Fictum commune"


def test_a_quadrinomial_loses_no_epithet_unseen():
    found = read("Fictum commune subsp. album var. rubrum")
    assert found.canonical == "Fictum commune rubrum"


@pytest.mark.parametrize("name", ["", "null", "NULL", "\\N", "  "])
def test_no_name_is_no_name(name):
    assert read(name).canonical == ""


def test_one_odd_text_does_not_stop_the_others():
    odd = ["Fictum \ud800commune", "\udfff", "\x00", "[" * 50, "×", "SH205817.07FU", "Fictum commune × album"]
    found = asked_all([Given(each) for each in [*odd, "Fictum commune"]])
    assert len(found) == len(odd) + 1
    assert found[-1].canonical == "Fictum commune"
    assert not found[-2].scientific
    assert found[0].marks  # half a letter: what stood there is not known


@settings(max_examples=60)
@given(st.lists(st.text(max_size=30), max_size=4))
def test_no_text_raises(names):
    assert [each.verbatim for each in asked_all([Given(each) for each in names])] == names
