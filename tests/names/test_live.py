"""Every way in which a service or a network can fail, and how much of it is borne. Nobody sleeps here."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from email.utils import format_datetime

import pytest

from sporeproof.names.live import NOT_FOUND_BY_KEY, Patience, Release, Service, release_of, seconds_asked
from sporeproof.names.matching.asked import Asked, Given, asked_all
from sporeproof.names.matching.usage import Match
from sporeproof.names.service_answer import Fault
from sporeproof.names.verdict import judged
from tests.names.service import START, Hands, Reply, accepted, free_port, lead, published, serving, synonym

NAME = "Fictum commune"
GOOD = accepted("C1", NAME, "(Fr.) Nemo")
PATIENCE = Patience()


@pytest.fixture
def stub(monkeypatch, _no_network):
    with serving() as found:
        lead(monkeypatch, found)
        yield found


@pytest.fixture
def hands() -> Hands:
    return Hands()


def service_of(hands: Hands, patience: Patience = PATIENCE) -> Service:
    return Service("00000000-0000-0000-0000-000000000001", hands.clock(), patience)


def asked(name: str = NAME, authorship: str = "(Fr.) Nemo"):
    return asked_all([Given(name, authorship, "species", {"kingdom": "Fungi"})])[0]


PASSING = {
    "429": (Reply({"status": 429}, 429), "asked less often (HTTP 429)"),
    "500": (Reply({"timestamp": "x", "status": 500, "error": "e", "path": "/"}, 500), "in trouble (HTTP 500)"),
    "503 with a page": (Reply(b"<html>down</html>", 503, "text/html"), "in trouble (HTTP 503)"),
    "408": (Reply({}, 408), "in trouble (HTTP 408)"),
    "a page with 200": (Reply(b"<html>Sign in</html>", content_type="text/html"), "a page in place of an answer"),
    "a charset": (Reply(GOOD, content_type="application/json; charset=utf-8"), "a page in place of an answer"),
    "no content type": (Reply(GOOD, content_type=""), "a page in place of an answer"),
    "half a JSON": (Reply(b'{"usage": {"key": "C'), "broken off or garbled"),
    "an empty body": (Reply(b""), "broken off or garbled"),
    "no UTF-8": (Reply(b'{"\xff\xfe'), "broken off or garbled"),
    "too deep": (Reply(b"[" * 100_000), "broken off or garbled"),
    "a number too long": (Reply(b"1" * 5000), "broken off or garbled"),
    "garbled packing": (Reply(b"no gzip", headers={"Content-Encoding": "gzip"}), "connection to the service fails"),
    "reset": (Reply(manner="reset"), "connection to the service fails"),
    "closed at once": (Reply(manner="closed"), "connection to the service fails"),
    "cut in the middle": (Reply(GOOD, manner="cut"), "connection to the service fails"),
}
LASTING = {
    "400": (Reply({"status": 400}, 400), "refuses the question (HTTP 400)"),
    "403": (Reply({}, 403), "refuses the question (HTTP 403)"),
    "404": (Reply({"status": 404}, 404), "refuses the question (HTTP 404)"),
    "a list": (Reply([GOOD]), "no answer on a name"),
    "nothing": (Reply(None), "no answer on a name"),
    "a message of version 1": (Reply(published("v1_refused")), "Unable to support API v1"),
    "version 1": (Reply(published("v1_exact")), "version 1"),
    "no diagnostics": (Reply({"synonym": False}), "does not say how the name was found"),
    "another kind of match": (Reply(GOOD | {"diagnostics": {"matchType": "AMBIGUOUS"}}), "`AMBIGUOUS`"),
}


@pytest.mark.parametrize("fault", PASSING)
def test_what_may_pass_is_asked_again(stub, hands, fault):
    stub.replies = {NAME: [PASSING[fault][0], PASSING[fault][0], GOOD]}
    assert isinstance(service_of(hands).match(asked()), Match)
    assert stub.names == [NAME] * 3


@pytest.mark.parametrize("fault", PASSING)
def test_what_does_not_pass_is_given_up_after_bounded_tries(stub, hands, fault):
    stub.replies = {NAME: [PASSING[fault][0]]}
    found = service_of(hands).match(asked())
    assert isinstance(found, Fault)
    assert PASSING[fault][1] in found.says
    assert len(stub.asked) == PATIENCE.tries


@pytest.mark.parametrize("fault", LASTING)
def test_what_lasts_is_not_asked_again_and_is_never_nothing_found(stub, hands, fault):
    stub.replies = {NAME: [LASTING[fault][0], GOOD]}
    found = service_of(hands).match(asked())
    assert isinstance(found, Fault)
    assert LASTING[fault][1] in found.says
    assert stub.names == [NAME]


def test_a_silent_service_is_not_waited_for_for_ever(stub, hands):
    stub.replies = {NAME: [Reply(manner="silent")]}
    found = service_of(hands, Patience(tries=2, read=0.05)).match(asked())
    assert found == Fault("the service does not answer in time", may_pass=True)
    assert len(stub.asked) == 2


def test_a_service_that_drips_does_not_hold_us_for_ever(stub, hands):
    stub.replies = {NAME: [Reply(manner="dripping")]}
    found = service_of(hands, Patience(tries=1, whole=0.1)).match(asked())
    assert found == Fault("the service does not answer in time", may_pass=True)


@pytest.mark.parametrize(
    "answer",
    [
        b"no HTTP at all",
        b"HTTP/1.0 2OO OK\r\n\r\n",
        b"HTTP/1.0 200 OK\r\nno header\r\n\r\n{}",
        b"HTTP/1.0 200 OK\r\nContent-Type: application/json\r\nContent-Length: many\r\n\r\n{",
        b"HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n{}",
        b"HTTP/1.0 200 OK\r\n" + b"a: b\r\n" * 200 + b"\r\n{}",
        b"HTTP/1.0 200 OK\r\na: " + b"b" * 70_000 + b"\r\n\r\n{}",
    ],
)
def test_what_is_no_answer_of_a_server_is_a_fault_and_prints_nothing(stub, hands, answer, capfd, caplog):
    stub.replies = {NAME: [Reply(answer, manner="raw")]}
    assert isinstance(service_of(hands).match(asked()), Fault)
    assert capfd.readouterr() == ("", "")
    assert caplog.records == []


def test_a_refused_connection_is_a_fault(stub, hands):
    stub.address = ("127.0.0.1", free_port())
    found = service_of(hands).match(asked())
    assert found == Fault("the connection to the service fails", may_pass=True)
    assert len(stub.sent) == PATIENCE.tries


def test_a_circle_of_redirections_is_a_fault_that_lasts(stub, hands):
    stub.replies = {NAME: [Reply({}, 302, headers={"Location": "/v2/species/match?scientificName=Fictum+commune"})]}
    found = service_of(hands).match(asked())
    assert found == Fault("the connection cannot be made (TooManyRedirects)")


def test_a_name_that_cannot_be_sent_is_a_fault_that_lasts(stub, hands):
    found = service_of(hands).match(Asked("Fictum \ud800commune", "Fictum commune"))
    assert found == Fault("the name holds a sign that cannot be sent")
    assert stub.asked == []


# ----- How long is waited -----


def test_waits_grow_are_drawn_and_are_bounded(stub, hands):
    stub.replies = {NAME: [Reply({}, 500)]}
    service_of(hands, Patience(tries=8, interval=0.5, first_wait=2, most_wait=20)).match(asked())
    assert hands.drawn == [(0, each) for each in (2, 4, 8, 16, 20, 20, 20, 20)]
    assert hands.slept == [each + 0.5 for each in (2, 4, 8, 16, 20, 20, 20)]


def test_questions_keep_their_distance(stub, hands):
    stub.replies = {NAME: [GOOD]}
    service = service_of(hands, Patience(interval=0.5))
    for _ in range(3):
        service.match(asked())
    assert hands.slept == [0.5, 0.5]


def test_time_that_has_passed_anyway_is_not_waited_again(stub, hands):
    stub.replies = {NAME: [GOOD]}
    service = service_of(hands, Patience(interval=0.5))
    service.match(asked())
    hands.passed += 0.4
    service.match(asked())
    assert hands.slept == [pytest.approx(0.1)]


def test_seconds_that_the_service_asks_for_are_waited(stub, hands):
    stub.replies = {NAME: [Reply({}, 429, headers={"Retry-After": "120"}), GOOD]}
    assert isinstance(service_of(hands).match(asked()), Match)
    assert hands.slept == [120 + PATIENCE.interval]


def test_a_date_that_the_service_asks_for_is_waited_for(stub, hands):
    then = format_datetime(START + timedelta(seconds=90), usegmt=True)
    stub.replies = {NAME: [Reply({}, 503, headers={"Retry-After": then}), GOOD]}
    assert isinstance(service_of(hands).match(asked()), Match)
    assert hands.slept == [90 + PATIENCE.interval]


def test_the_next_name_waits_too_after_the_last_try(stub, hands):
    stub.replies = {NAME: [Reply({}, 429, headers={"Retry-After": "200"})], "Fictum falsum": [GOOD]}
    service = service_of(hands, Patience(tries=1))
    service.match(asked())
    assert hands.slept == []
    service.match(asked("Fictum falsum"))
    assert hands.slept == [200 + PATIENCE.interval]


def test_nobody_waits_for_longer_than_is_borne(stub, hands):
    stub.replies = {NAME: [Reply({}, 429, headers={"Retry-After": "301"}), GOOD]}
    service = service_of(hands)
    found = service.match(asked())
    assert isinstance(found, Fault)
    assert service.asks_to_stop(found)
    assert (stub.names, hands.slept) == ([NAME], [])


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("0", 0),
        ("17", 17),
        (" 17 ", 17),
        ("9" * 400, 999_999_999_999),
        ("Thu, 26 Nov 2026 12:01:00 GMT", 60),
        ("Thu, 26 Nov 2026 11:00:00 GMT", 0),
        ("Thu, 26 Nov 2026 12:01:00 -0000", 60),
        ("-5", None),
        ("1.5", None),
        ("soon", None),
        ("", None),
        ("١٧", None),
        ("Thu, 99 Nov 99999 12:01:00 GMT", None),
    ],
)
def test_what_a_service_asks_for_is_read(text, seconds):
    assert seconds_asked(text, datetime(2026, 11, 26, 12, 0, tzinfo=UTC)) == seconds


# ----- Where a synonym leads -----


OLD = synonym("S1", NAME, "A1", "Mendax communis", "(Fr.) Nemo")


def test_an_accepted_name_is_looked_up_by_its_key_once(stub, hands):
    stub.replies = {NAME: [OLD], "A1": [accepted("A1", "Mendax communis", "Nemo")]}
    service = service_of(hands)
    for _ in range(2):
        verdict = judged(asked(), service.match(asked()))
        assert verdict.outcome == "renamed"
        assert verdict.accepted
        assert verdict.accepted.whole == "Mendax communis Nemo"
    assert [each.get("usageKey") for each in stub.asked] == [None, "A1", None]


def test_a_chain_of_synonyms_is_doubtful_and_followed_no_further(stub, hands):
    stub.replies = {NAME: [OLD], "A1": [synonym("A1", "Mendax communis", "A2", "Aliud commune")]}
    verdict = judged(asked(), service_of(hands).match(asked()))
    assert verdict.outcome == "doubtful"
    assert "SYNONYM" in verdict.because
    assert len(stub.asked) == 2


@pytest.mark.parametrize("status", ["PROVISIONALLY_ACCEPTED", "MISAPPLIED", ""])
def test_an_accepted_name_of_another_status_is_doubtful(stub, hands, status):
    answer = accepted("A1", "Mendax communis")
    answer["usage"]["status"] = status
    stub.replies = {NAME: [OLD], "A1": [answer]}
    assert judged(asked(), service_of(hands).match(asked())).outcome == "doubtful"


@pytest.mark.parametrize("found", [published("none"), accepted("A9", "Mendax communis")])
def test_a_key_that_leads_nowhere_or_elsewhere_is_doubtful(stub, hands, found):
    stub.replies = {NAME: [OLD], "A1": [found]}
    verdict = judged(asked(), service_of(hands).match(asked()))
    assert verdict.outcome == "doubtful"
    assert NOT_FOUND_BY_KEY in verdict.because


def test_a_name_whose_accepted_name_is_not_answered_is_not_answered(stub, hands):
    stub.replies = {NAME: [OLD], "A1": [Reply({}, 404), accepted("A1", "Mendax communis")]}
    service = service_of(hands)
    assert isinstance(service.match(asked()), Fault)
    assert isinstance(service.match(asked()), Match)


@pytest.mark.parametrize(
    "answer",
    [
        OLD | {"acceptedUsage": OLD["acceptedUsage"] | {"status": "ACCEPTED"}},
        OLD | {"usage": OLD["usage"] | {"status": "AMBIGUOUS_SYNONYM"}},
        OLD | {"diagnostics": {"matchType": "HIGHERRANK"}},
        GOOD,
    ],
)
def test_nothing_is_looked_up_by_key_where_nothing_hangs_on_it(stub, hands, answer):
    stub.replies = {NAME: [answer]}
    assert isinstance(service_of(hands).match(asked()), Match)
    assert len(stub.asked) == 1


# ----- Which release answers -----


@pytest.mark.parametrize(
    ("metadata", "release"),
    [
        (published("metadata"), Release("Catalogue of Life (invented title)", "COL26.6 XR, index of 2026-06-02")),
        ({"mainIndex": {"clbDatasetKey": 53147}}, Release("", "53147")),
        ({"created": "2026-06-02T08:15"}, Release("", "index of 2026-06-02")),
        ({"mainIndex": [], "created": {}}, Release()),
        ({}, Release()),
        ([], Release()),
        (None, Release()),
    ],
)
def test_the_release_is_what_the_metadata_tell(stub, hands, metadata, release):
    assert release_of(metadata) == release
    stub.metadata = [Reply({}, 503), Reply(metadata)]
    assert service_of(hands).release() == release


def test_metadata_that_cannot_be_had_are_a_fault(stub, hands):
    stub.metadata = [Reply({}, 404)]
    assert isinstance(service_of(hands).release(), Fault)
