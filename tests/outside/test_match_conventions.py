"""The twelve public conventions of the match service, each on an index of our own.

Source: integration tests of the GBIF name matching service (gbif/matching-ws, classes MatchingServiceIT and
MatchingServiceStrictIT, as of 2026-05), read as rules. The taxa are theirs; keys and where no author is given, the
placement, are invented for the test.
"""

import pytest

from tests.names.checklist import held, line_of

ANIMALS = ("Animalia", "Chordata", "Mammalia", "Carnivora", "Felidae")
PLANTS = ("Plantae", "Tracheophyta", "Liliopsida", "Poales")
FUNGI = ("Fungi", "Basidiomycota", "Agaricomycetes", "Agaricales")


@pytest.fixture(scope="module")
def asking():
    rows = [
        *line_of(*ANIMALS, "Puma", "Puma concolor | (Linnaeus, 1771)"),
        *line_of("Plantae", "Tracheophyta", "Pinopsida", "Pinales", "Pinaceae", "Abies", "Abies alba | Mill."),
        *line_of(*PLANTS, "Xyridaceae", "Xyris | L.", "Xyris jupicai | Rich."),
        *line_of("Animalia", "Arthropoda", "Arachnida", "Araneae", "Thomisidae", "Xysticus | C.L. Koch, 1835"),
        *line_of("Animalia", "Mollusca", "Gastropoda", "Stylommatophora", "Trissexodontidae", "Iberus",
                 "Iberus gualtieranus | (Linnaeus, 1758)"),
        *line_of(*FUNGI, "Mycenaceae", "Atheniella", "Atheniella flavoalba | (Fr.) Redhead et al."),
        ("m2", "Atheniella flavoalba", "synonym", "species", "Mycena flavoalba", "(Fr.) Quél."),
        ("m1x", "Atheniella flavoalba", "synonym", "species", "Mycena flavoalba", "(Fr.) Quél."),
        *line_of("Plantae", "Tracheophyta", "Magnoliopsida", "Apiales", "Apiaceae", "Oenanthe | L."),
        ("o2", "Muscicapidae", "accepted", "genus", "Oenanthe", "Vieillot, 1816"),
        *line_of("Animalia", "Chordata", "Aves", "Passeriformes", "Muscicapidae"),
        *line_of("Plantae", "Tracheophyta", "Magnoliopsida", "Fabales", "Fabaceae", "Prosopis"),
        ("p1", "Prosopis", "accepted", "species", "Prosopis alpina", "L.f."),
        ("p2", "Prosopis", "accepted", "species", "Prosopis alpina", "Mill."),
        *line_of(*FUNGI, "Agaricaceae", "Agaricus", "Agaricus campestris | L."),
        ("agg", "Agaricus", "accepted", "species aggregate", "Agaricus silvicola", ""),
        ("otu", "Agaricus", "accepted", "unranked", "SH205817.07FU", ""),
        *line_of("Animalia", "Arthropoda", "Insecta", "Coleoptera", "Chrysomelidae", "Oreina",
                 "Oreina elegans | Weise"),
        *line_of("Animalia", "Arthropoda", "Insecta", "Diptera", "Keroplatidae", "Oreima", "Oreima elegantis | Costa"),
    ]  # fmt: skip
    with held(rows) as found:
        yield found


def test_1_an_exact_accepted_binomial_is_sure(asking):
    """MatchingServiceIT#testHomonyms, Puma concolor."""
    match = asking.match("Puma concolor")
    assert (match.match_type, match.usage.canonical) == ("EXACT", "Puma concolor")
    assert match.confidence >= 95


def test_2_strictly_a_wrong_kingdom_is_no_match(asking):
    """MatchingServiceStrictIT#testMatching, Abies alba in Animalia; MatchingServiceIT#testHomonyms."""
    assert asking.match("Abies alba", kingdom="Animalia", strict=True).match_type == "NONE"
    lax = asking.match("Abies alba", kingdom="Animalia")
    assert (lax.match_type, lax.usage.canonical) == ("HIGHERRANK", "Animalia")
    fungus = asking.match("Agaricus campestris", kingdom="Animalia")
    assert (fungus.match_type, fungus.usage.canonical) == ("EXACT", "Agaricus campestris")
    assert asking.verdict("Agaricus campestris", kingdom="Animalia").outcome == "unknown"  # ours is stricter
    assert asking.match("Agaricus campestris", kingdom="Animalia", strict=True).match_type == "NONE"


def test_3_a_known_genus_with_an_unknown_epithet_is_the_genus(asking):
    """MatchingServiceIT#testBlogNames, Xyris kralii; #testPOR1712; #testPOR2607."""
    match = asking.match("Xyris kralii")
    assert (match.match_type, match.usage.canonical, match.usage.rank) == ("HIGHERRANK", "Xyris", "GENUS")
    assert asking.match("Xyris kralii", strict=True).match_type == "NONE"
    assert asking.verdict("Xyris kralii").outcome == "higher-only"


@pytest.mark.parametrize("name", ["Iberus gualtieranus intermedius", "Iberus gualtieranuus intermedius"])
def test_4_an_unknown_infraspecific_name_is_its_species(asking, name):
    """MatchingServiceIT#testIberusGualtieranus."""
    match = asking.match(name)
    assert (match.match_type, match.usage.canonical) == ("HIGHERRANK", "Iberus gualtieranus")


@pytest.mark.parametrize("name", ["Xysticus sp.", "Xysticus spec."])
@pytest.mark.parametrize("strict", [False, True])
def test_5_an_unnamed_species_is_its_genus(asking, name, strict):
    """MatchingServiceIT#testBlogNames, Xysticus and Triodia."""
    match = asking.match(name, strict=strict)
    assert (match.match_type, match.usage.canonical) == ("HIGHERRANK", "Xysticus")


def test_6_an_ambiguous_genus_is_resolved_by_what_stands_above(asking):
    """MatchingServiceIT#testHomonyms and #testHomonyms3."""
    assert asking.match("Oenanthe").match_type == "NONE"
    assert asking.match("Oenanthe", kingdom="Plantae").usage.authorship == "L."
    assert asking.match("Oenanthe", kingdom="Animalia").usage.key == "o2"
    assert asking.match("Oenanthe", family="Apiaceae").usage.authorship == "L."
    assert asking.verdict("Oenanthe").outcome == "homonym"


@pytest.mark.parametrize(
    "name", ["Agaricus campestre", "Agaricus campestris", "Agaricus camppestris", "Xyris jupicaii"]
)
def test_7_endings_and_doubled_letters_reach_the_same_usage(asking, name):
    """MatchingServiceIT#testImprovedMatching; MatchingServiceStrictIT#testIssue7."""
    for strict in (False, True):
        match = asking.match(name, strict=strict)
        assert match.usage.canonical in {"Agaricus campestris", "Xyris jupicai"}
        assert match.match_type == ("EXACT" if name == match.usage.canonical else "VARIANT")


def test_8_a_variant_in_another_genus_yields_where_the_family_disagrees(asking):
    """MatchingServiceIT#higherOverFuzzy."""
    there = asking.match("Oreina elegantis", family="Chrysomelidae")
    assert there.usage.canonical.startswith("Oreina")
    other = asking.match("Oreimo elegantis", family="Chrysomelidae")
    assert other.match_type == "HIGHERRANK"


def test_9_the_author_picks_among_usages_spelt_alike(asking):
    """MatchingServiceIT#testAuthorshipMatching; MatchingServiceStrictIT#testFilius."""
    assert asking.match("Prosopis alpina", "L.f.").usage.key == "p1"
    assert asking.match("Prosopis alpina", "Mill.").usage.key == "p2"
    unknown = asking.match("Prosopis alpina", "Nemo")
    assert (unknown.match_type, unknown.usage.canonical) == ("HIGHERRANK", "Prosopis")
    assert asking.match("Prosopis alpina", "L.", strict=True).match_type == "NONE"
    assert asking.verdict("Prosopis alpina", "Mill.").outcome == "current"
    assert asking.verdict("Prosopis alpina").outcome == "homonym"


def test_10_ranks_hold(asking):
    """MatchingServiceStrictIT#testMatching; MatchingServiceIT#aggregates."""
    for rank in ("GENUS", "SUBSPECIES"):
        assert asking.match("Puma concolor", rank=rank, strict=True).match_type == "NONE"
    aggregate = asking.match("Agaricus campestris agg.")
    assert (aggregate.match_type, aggregate.usage.canonical) == ("HIGHERRANK", "Agaricus")
    assert asking.match("Agaricus silvicola agg.").usage.key == "agg"


def test_11_a_synonym_is_answered_as_itself_with_its_accepted_usage(asking):
    """MatchingServiceIT#mycenaFllavoalba and #testHomonyms2: of equal synonyms the shortest, then lowest key."""
    match = asking.match("Mycena flavoalba", "(Fr.) Quél.")
    assert (match.match_type, match.usage.key) == ("EXACT", "m2")
    assert match.accepted.canonical == "Atheniella flavoalba"
    assert asking.verdict("Mycena flavoalba", "(Fr.) Quél.").outcome == "renamed"


def test_12_nothing_is_no_match_and_codes_are_never_fuzzy(asking):
    """MatchingServiceIT#npe and #testOtuMatching (a usage key is asked for by nobody here)."""
    assert asking.match("").match_type == "NONE"
    assert asking.match("sh205817.07fu").usage.canonical == "SH205817.07FU"
    assert asking.match("SH205818.07FU").usage is None
