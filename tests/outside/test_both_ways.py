"""A name asked of the service and of an index that holds the same usages has the same outcome.

Source: the published answers in gbif/ (see its README). Where a test says so, the answer is made by hand in the
form of version 2, with invented names and keys, as none was published for the case.
"""

from __future__ import annotations

import pytest

from sporeproof.names.matching.asked import Given, asked_all
from sporeproof.names.service_answer import match_of
from sporeproof.names.verdict import judged
from tests.names.checklist import held, line_of
from tests.names.service import accepted, published, synonym

FUNGI = ("F", "", "accepted", "kingdom", "Fungi", "")
IN_FUNGI = {"kingdom": "Fungi"}


def of_service(body: dict, name: str, authorship: str = "", rank: str = "", **higher: str):
    (asked,) = asked_all([Given(name, authorship, rank, higher)])
    match = match_of(body)
    assert match.confidence is not None  # it is a match, and no fault
    return judged(asked, match)


def of_index(rows: list[tuple[str, ...]], name: str, authorship: str = "", rank: str = "", **higher: str):
    with held(rows) as asking:
        return asking.verdict(name, authorship, rank, **higher)


def told(verdict) -> tuple[str, str, set[str]]:
    """What a verdict says of names; keys differ from one checklist to the next."""
    taxon = verdict.accepted.canonical if verdict.accepted else ""
    return verdict.outcome, taxon, {each.canonical for each in verdict.candidates}


PLANT = line_of("Plantae", "Polygalaceae", "Polygala", "Polygala vulgaris | L.",
                ranks=("kingdom", "family", "genus", "species"))  # fmt: skip
MYCENA = [
    FUNGI,
    ("8110284", "F", "accepted", "species", "Atheniella flavoalba", "(Fr.) Redhead et al."),
    ("4911770", "8110284", "synonym", "species", "Mycena flavoalba", "(Fr.) Quél."),
]
ANIMAL = [
    ("1", "", "accepted", "kingdom", "Animalia", ""),
    ("2394331", "1", "accepted", "species", "Zabidius novemaculeatus", "(McCulloch, 1916)"),
]
XYRIS = [("6", "", "accepted", "kingdom", "Plantae", ""), ("2692599", "6", "accepted", "genus", "Xyris", "L.")]
OENANTHE = [
    ("6", "", "accepted", "kingdom", "Plantae", ""),
    ("1", "", "accepted", "kingdom", "Animalia", ""),
    ("o1", "6", "accepted", "genus", "Oenanthe", "L."),
    ("o2", "1", "accepted", "genus", "Oenanthe", "Vieillot, 1816"),
]
PUBLISHED = [
    ("exact", PLANT, ("Polygala vulgaris",), "Plantae", ("current", "Polygala vulgaris", set())),
    ("exact", PLANT, ("Polygala vulgaris", "L.", "species"), "Plantae", ("current", "Polygala vulgaris", set())),
    ("synonym", MYCENA, ("Mycena flavoalba",), "Fungi", ("renamed", "Atheniella flavoalba", set())),
    ("synonym", MYCENA, ("Mycena flavoalba cf.",), "Fungi", ("doubtful", "Mycena flavoalba", set())),
    ("variant", ANIMAL, ("Zabidius novemaculetus",), "Animalia", ("respelled", "Zabidius novemaculeatus", set())),
    ("higher_rank", XYRIS, ("Xyris kralii",), "Plantae", ("higher-only", "Xyris", set())),
    ("none", OENANTHE, ("Oenanthe",), "", ("homonym", "", set())),
]


@pytest.mark.parametrize(("file", "rows", "name", "kingdom", "expected"), PUBLISHED)
def test_a_published_answer_and_an_index_say_the_same(file, rows, name, kingdom, expected):
    one = told(of_service(published(file), *name, kingdom=kingdom))
    other = told(of_index(rows, *name, kingdom=kingdom))
    assert one == expected
    # The service gives no candidates with a tie; the index names them.
    assert other[:2] == expected[:2]


def higher_only(name: str, rank: str, confidence: int) -> dict:
    """Made by hand: an answer with something higher."""
    body = accepted("F", name, rank=rank)
    body["diagnostics"] |= {"matchType": "HIGHERRANK", "confidence": confidence}
    return body


@pytest.mark.parametrize("rubbish", ["Qwxyz asdfgh", "Zzzz", "Fictum commune", "12345"])
def test_rubbish_that_is_answered_with_the_kingdom_is_no_match(rubbish):
    """Made by hand; the service answers any rubbish with Fungi at 99 where that kingdom is asked for."""
    one = of_service(higher_only("Fungi", "KINGDOM", 99), rubbish, **IN_FUNGI)
    other = of_index([FUNGI], rubbish, **IN_FUNGI)
    assert one.outcome == other.outcome == "higher-only"


def with_rival(body: dict, rival: dict) -> dict:
    return body | {"diagnostics": body["diagnostics"] | {"alternatives": [rival]}}


def test_two_homonyms_are_told_both_ways():
    """Made by hand: one spelling, two authors, both accepted."""
    body = with_rival(accepted("H1", "Fictum commune", "Nemo"), accepted("H2", "Fictum commune", "Alius"))
    rows = [
        FUNGI,
        ("H1", "F", "accepted", "species", "Fictum commune", "Nemo"),
        ("H2", "F", "accepted", "species", "Fictum commune", "Alius"),
    ]
    assert of_service(body, "Fictum commune", **IN_FUNGI).outcome == "homonym"
    assert of_index(rows, "Fictum commune", **IN_FUNGI).outcome == "homonym"
    for verdict in (
        of_service(body, "Fictum commune", "Nemo", **IN_FUNGI),
        of_index(rows, "Fictum commune", "Nemo", **IN_FUNGI),
    ):
        assert (verdict.outcome, verdict.accepted.key) == ("current", "H1")


@pytest.mark.parametrize(
    ("status", "written", "outcome"),
    [
        ("AMBIGUOUS_SYNONYM", "ambiguous synonym", "split"),
        ("PROVISIONALLY_ACCEPTED", "provisionally accepted", "doubtful"),
        ("MISAPPLIED", "misapplied", "doubtful"),
    ],
)
def test_an_unsafe_status_is_never_settled(status, written, outcome):
    """Made by hand: statuses for which no answer was published."""
    if status == "PROVISIONALLY_ACCEPTED":
        body = accepted("S1", "Fictum vetus", status=status)
    else:
        body = synonym("S1", "Fictum vetus", "A1", "Fictum novum")
        body["usage"]["status"] = status
    rows = [
        FUNGI,
        ("A1", "F", "accepted", "species", "Fictum novum", ""),
        ("S1", "F" if status == "PROVISIONALLY_ACCEPTED" else "A1", written, "species", "Fictum vetus", ""),
    ]
    assert of_service(body, "Fictum vetus", **IN_FUNGI).outcome == outcome
    assert of_index(rows, "Fictum vetus", **IN_FUNGI).outcome == outcome


@pytest.mark.parametrize("kingdom", ["Animalia", "Plantae", "Protozoa"])
def test_a_wrong_kingdom_is_no_match_both_ways(kingdom):
    """Made by hand: for fungi the service itself does not refuse a wrong kingdom."""
    rows = [FUNGI, ("C1", "F", "accepted", "species", "Fictum commune", "")]
    body = accepted("C1", "Fictum commune")
    assert of_service(body, "Fictum commune", kingdom=kingdom).outcome == "unknown"
    assert of_index(rows, "Fictum commune", kingdom=kingdom).outcome == "unknown"
