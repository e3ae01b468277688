"""pygbif itself, led to a server that answers as GBIF's name matching service does (see gbif/README.md)."""

from __future__ import annotations

import pytest

from sporeproof.names.live import Patience, Service
from sporeproof.names.matching.asked import Given, asked_all
from sporeproof.names.matching.usage import EXACT, HIGHERRANK, MULTIPLE, NONE, VARIANT, Match
from sporeproof.names.service_answer import Fault, match_of
from sporeproof.names.verdict import judged
from tests.names.service import MATCH, METADATA, Hands, Reply, lead, published, serving

CHECKLIST = "7ddf754f-d193-4cc9-b351-99906754a03b"
SYNONYM = "Mycena flavoalba"


@pytest.fixture
def stub(monkeypatch, _no_network):
    with serving() as found:
        lead(monkeypatch, found)
        yield found


@pytest.fixture
def service() -> Service:
    return Service(CHECKLIST, Hands().clock(), Patience())


def asked(name: str, authorship: str = "", rank: str = ""):
    return asked_all([Given(name, authorship, rank, {"kingdom": "Fungi"})])[0]


def test_pygbif_sends_what_decides_the_answer(stub, service):
    service.match(asked("Fictum commune", "(Fr.) Nemo", "species"))
    assert stub.asked == [
        {
            "scientificName": "Fictum commune",
            "scientificNameAuthorship": "(Fr.) Nemo",
            "taxonRank": "SPECIES",
            "kingdom": "Fungi",
            "verbose": "true",
            "checklistKey": CHECKLIST,
        }
    ]


def test_every_question_has_a_timeout_and_one_address(stub, service):
    stub.replies = {SYNONYM: [published("synonym")], "8110284": [published("exact")]}
    service.release()
    service.match(asked(SYNONYM))
    assert stub.paths == [METADATA, MATCH, MATCH]
    hosts = {address.split("/v2/")[0] for address, _ in stub.sent}
    assert len(hosts) == 1
    assert hosts.pop().startswith("https://")
    assert {timeout for _, timeout in stub.sent} == {(Patience().connect, Patience().read)}


def test_a_question_by_key_names_its_checklist_too(stub, service):
    stub.replies = {SYNONYM: [published("synonym")]}
    service.match(asked(SYNONYM))
    assert stub.asked[1] == {"usageKey": "8110284", "checklistKey": CHECKLIST}


@pytest.mark.parametrize(
    ("file", "match_type", "key", "name", "authorship"),
    [
        ("exact", EXACT, "4L8K5", "Polygala vulgaris", "L."),
        ("synonym", EXACT, "4911770", "Mycena flavoalba", "(Fr.) Quél."),
        ("variant", VARIANT, "2394331", "Zabidius novemaculeatus", "(McCulloch, 1916)"),
        ("higher_rank", HIGHERRANK, "2692599", "Xyris", "L."),
    ],
)
def test_a_published_answer_is_read(stub, service, file, match_type, key, name, authorship):
    stub.replies = {"Fictum commune": [published(file)], "8110284": [accepted_one()]}
    match = service.match(asked("Fictum commune"))
    assert isinstance(match, Match)
    assert match.match_type == match_type
    assert match.confidence == published(file)["diagnostics"]["confidence"]
    assert match.usage
    assert (match.usage.key, match.usage.canonical, match.usage.authorship) == (key, name, authorship)


def accepted_one() -> dict:
    """What the key of the published synonym's accepted usage would lead to; it was not published."""
    return {
        "usage": {**published("synonym")["acceptedUsage"], "status": "ACCEPTED"},
        "classification": published("synonym")["classification"],
        "diagnostics": {"matchType": "EXACT", "confidence": 100},
        "synonym": False,
    }


def test_a_published_synonym_leads_to_its_accepted_name(stub, service):
    stub.replies = {SYNONYM: [published("synonym")], "8110284": [accepted_one()]}
    name = asked(SYNONYM, "(Fr.) Quél.", "species")
    verdict = judged(name, service.match(name))
    assert verdict.outcome == "renamed"
    assert verdict.accepted
    assert verdict.accepted.canonical == "Atheniella flavoalba"
    assert verdict.accepted.authorship == "(Fr.) Redhead et al."


def test_the_alternatives_of_a_published_variant_are_read():
    (other,) = match_of(published("variant")).alternatives
    assert other.usage
    assert (other.usage.key, other.usage.canonical, other.match_type) == ("9", "Other name", VARIANT)


def test_nothing_found_is_told_from_several_that_weigh_the_same(stub, service):
    stub.replies = {"Oenanthe": [published("none")]}
    match = service.match(asked("Oenanthe"))
    assert (match.match_type, match.usage, match.flags) == (NONE, None, (MULTIPLE,))
    assert judged(asked("Oenanthe"), match).outcome == "homonym"


@pytest.mark.parametrize(
    ("file", "says"), [("v1_exact", "version 1"), ("v1_none", "version 1"), ("v1_refused", "Please use v2 instead")]
)
def test_an_answer_of_version_1_is_a_fault_and_never_nothing_found(stub, service, file, says):
    stub.replies = {"Fictum commune": [published(file)]}
    fault = service.match(asked("Fictum commune"))
    assert isinstance(fault, Fault)
    assert says in fault.says


def test_pygbif_takes_a_content_type_with_a_charset_for_no_answer(stub, service):
    """The reason why it is asked again: a proxy may add it once."""
    stub.replies = {
        "Fictum commune": [Reply(published("exact"), content_type="application/json;charset=UTF-8"), published("exact")]
    }
    assert isinstance(service.match(asked("Fictum commune")), Match)
    assert len(stub.asked) == 2


def test_the_release_is_read_from_the_metadata(stub, service):
    assert service.release().name == "COL26.6 XR, index of 2026-06-02"
