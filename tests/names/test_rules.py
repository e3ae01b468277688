"""The worked figures of the name matching service, held to our own rules.

Source: GBIF name matching service and its normal form and similarity (gbif/matching-ws as of 2026-05,
CatalogueOfLife/backend as of 2026-08), from their code and the figures of their tests.
"""

from __future__ import annotations

import pytest

from sporeproof.names.matching.alike import edits, edits_allowed, similarity
from sporeproof.names.matching.asked import Given, asked_all
from sporeproof.names.matching.normal_form import normal_form
from sporeproof.names.matching.ranks import rank_read
from sporeproof.names.matching.score import (
    FUZZY,
    Candidate,
    authors_similarity,
    bonus,
    confidence,
    kingdom_similarity,
    place_similarity,
    rank_similarity,
    score,
)
from sporeproof.names.matching.usage import Taxon, Usage


@pytest.mark.parametrize(
    ("epithet", "normal"),
    [
        ("albus", "alb"), ("alba", "alb"), ("album", "alb"), ("perrierii", "perier"), ("perieri", "perier"),
        ("brownei", "brown"), ("brownii", "brown"), ("platyrhachis", "platirach"), ("baileyi", "baile"),
        ("baileii", "baile"), ("orientalis", "oriental"), ("orientale", "oriental"), ("mariae", "mari"),
        ("marie", "mari"), ("nigra", "niger"), ("nigrum", "niger"), ("niger", "niger"),
    ],
)  # fmt: skip
def test_an_epithet_has_its_normal_form(epithet, normal):
    assert normal_form(f"Abies {epithet}") == f"abies {normal}"


def test_there_is_no_rule_for_ae_against_oe():
    assert edits(normal_form("Abies scorzoneraefolia"), normal_form("Abies scorzonerifolia")) == 2


@pytest.mark.parametrize("name", ["Mycena flavo-alba", "Mycena flavoalba", "Mycena  flavo_alba", "× Mycena flavoalba"])
def test_hyphens_blanks_and_hybrid_signs_do_not_part_names(name):
    assert normal_form(name) == normal_form("Mycena flavoalba")


@pytest.mark.parametrize(
    ("one", "other", "value"),
    [
        ("Linaria pedunculata", "Linaria pedinculata", 95), ("Linaria vulgaris", "Lunaria vulgaris", 90),
        ("Abies alba", "Abies olba", 5), ("Oreina elegans", "Orfelia elegans", 5), ("Abies alba", "Abies alba", 100),
    ],
)  # fmt: skip
def test_names_are_so_much_alike(one, other, value):
    assert similarity(normal_form(one), normal_form(other)) == value
    assert similarity(normal_form(other), normal_form(one)) == value


@pytest.mark.parametrize(("normal", "allowed"), [("abies alb", 1), ("abcdefghij", 1), ("abcdefghijk", 2)])
def test_longer_names_may_differ_by_two(normal, allowed):
    assert edits_allowed(normal) == allowed


@pytest.mark.parametrize(
    ("raw", "sure"),
    [(80, 80), (85, 85), (90, 88), (95, 91), (100, 93), (105, 95), (110, 96), (115, 97), (120, 99), (125, 100),
     (200, 100), (79, 79), (0, 0), (-20, 0)],
)  # fmt: skip
def test_a_score_is_so_sure(raw, sure):
    assert confidence(raw) == sure


@pytest.mark.parametrize(
    ("asked", "there", "value"),
    [
        ("GENUS", "SUBGENUS", -1), ("SUBSPECIES", "VARIETY", -9), ("FAMILY", "KINGDOM", -26), ("GENUS", "CLASS", -35),
        ("UNRANKED", "", -1), ("SPECIES", "SPECIES", 6), ("INFRASPECIFIC_NAME", "VARIETY", 5),
        ("INFRAGENERIC_NAME", "SUBGENUS", 5), ("INFRAGENERIC_NAME", "GENUS", 4), ("SPECIES", "UNRANKED", 0),
        ("SPECIES", "SPECIES_AGGREGATE", 2), ("SPECIES", "VARIETY", -30), ("GENUS", "SPECIES", -30),
        ("FAMILY", "SPECIES", -30), ("SPECIES", "", -1),
    ],
)  # fmt: skip
def test_two_ranks_are_worth(asked, there, value):
    assert rank_similarity(asked, there) == value


@pytest.mark.parametrize(
    ("mine", "theirs", "value"),
    [("Fungi", "Fungi", 10), ("Fungi", "Chromista", 8), ("Fungi", "Protozoa", 8), ("Fungi", "Bacteria", 8),
     ("Fungi", "Plantae", -10), ("Animalia", "Fungi", -10), ("", "Fungi", 0), ("Plants", "Fungi", 0),
     ("incertae sedis", "Fungi", 7)],
)  # fmt: skip
def test_two_kingdoms_are_strictly_worth(mine, theirs, value):
    assert kingdom_similarity(mine, theirs) == value


@pytest.mark.parametrize(
    ("mine", "theirs", "value"),
    [("Plantae", "Animalia", -51), ("Animalia", "Plantae", -51), ("Animalia", "Fungi", -10), ("Plantae", "Fungi", -10),
     ("Plantae", "Bacteria", -31), ("Fungi", "Chromista", -10), ("Lichens", "Fungi", 5), ("Metazoa", "Animalia", 5)],
)  # fmt: skip
def test_two_kingdoms_are_loosely_worth(mine, theirs, value):
    candidate = Candidate(Usage("1", "Abies alba"), "abies alb", lineage=(Taxon("K", theirs, "KINGDOM"),))
    without_phylum = -1
    assert place_similarity({"kingdom": mine}, candidate) == value + without_phylum


@pytest.mark.parametrize(
    ("best", "second", "gain"), [(90, None, 5), (90, 90, 0), (91, 88, 1), (90, 79, 5), (90, 20, 5)]
)
def test_a_lead_is_worth(best, second, gain):
    assert bonus(best, second) == gain


def test_ranks_are_read_as_people_write_them():
    assert [rank_read(each) for each in ("var.", "f.", "Species", "SECTION", "nonsense")] == [
        "VARIETY", "FORM", "SPECIES", "SECTION_BOTANY", ""
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "there", "status", "total"),
    [
        ("Fictitiella communata", "Fictitiella commulata", "ACCEPTED", 105),
        ("Fictitiella communatos", "Fictitiella commulatris", "ACCEPTED", 100),
        ("Fictitiella communata", "Fictatiella communata", "ACCEPTED", 85),
        ("Fictitiella communata", "Fictatiella commulata", "ACCEPTED", 80),
        ("Fictitiella communata", "Fictatiella commulata", "SYNONYM", 79),
        ("Fictitiella communata", "Fictatielxa communata", "ACCEPTED", 75),
    ],
)
def test_a_sole_candidate_scores(name, there, status, total):
    (asked,) = asked_all([Given(name)])
    candidate = Candidate(Usage("1", there, "", "SPECIES", status), normal_form(there))
    raw = score(asked, normal_form(name), candidate, FUZZY)
    without_place = raw - place_similarity(asked.higher, candidate)
    assert without_place + place_similarity({}, candidate) + bonus(raw, None) == pytest.approx(total)


def test_the_same_authors_are_worth_less_for_an_autonym():
    """Facts, section 4: equal authorship strings add 8, of an autonym 1."""
    autonym, other = asked_all([Given("Fictum album var. album Nemo"), Given("Fictum album var. nigrum Nemo")])
    usage = Usage("1", "Fictum album album", "Nemo", "VARIETY", "ACCEPTED")
    assert authors_similarity(other, usage) - authors_similarity(autonym, usage) == 7
