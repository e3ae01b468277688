"""Asks the name matching service, through pygbif, in a way that a service can bear and a person can rely on.

pygbif brings no timeout, no second try and no patience; those are here. Every question names its checklist, since
the service's own choice of one has changed before. A question that fails comes back as a :class:`Fault` with a
sentence; nothing that a service or a network does raises.
"""

from __future__ import annotations

import logging
import random
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Any

from sporeproof.names.matching.asked import Asked
from sporeproof.names.matching.usage import EXACT, VARIANT, Match, Usage
from sporeproof.names.service_answer import Fault, match_of, word_of
from sporeproof.names.verdict import SYNONYMS

KINGDOM = "Fungi"
# The status of an accepted name that its own key does not lead to.
NOT_FOUND_BY_KEY = "not found by its own key"
TOO_MANY = 429
SERVER_ERRORS = 500
REQUEST_TIMEOUT = 408


@dataclass(frozen=True, slots=True)
class Clock:
    """The time of day, a stopwatch in seconds, how to wait, and how to draw a number between two."""

    now: Callable[[], datetime] = lambda: datetime.now(UTC)
    seconds: Callable[[], float] = time.monotonic
    sleep: Callable[[float], None] = time.sleep
    draw: Callable[[float, float], float] = random.uniform


@dataclass(frozen=True, slots=True)
class Patience:
    """How long to wait for what, in seconds, and how often to try.

    An answer may take ``connect`` to begin, ``read`` from one part of it to the next, and ``whole`` in all.
    ``interval`` lies between any two questions. After the n-th failure of one question a wait is drawn between 0
    and ``first_wait`` doubled n - 1 times, at most ``most_wait``. The service may ask for more, up to
    ``most_asked``; if it asks for still more, nothing is asked any longer.
    """

    interval: float = 0.25
    tries: int = 5
    first_wait: float = 2.0
    most_wait: float = 60.0
    most_asked: float = 300.0
    connect: float = 10.0
    read: float = 30.0
    whole: float = 120.0


@dataclass(frozen=True, slots=True)
class Release:
    """Which release of a checklist answered, and its title; empty where the service does not tell."""

    title: str = ""
    name: str = ""


class Service:
    """The matching service, for one checklist and one run."""

    def __init__(self, checklist: str, clock: Clock, patience: Patience) -> None:
        self.checklist = checklist
        self.clock = clock
        self.patience = patience
        self._not_before = 0.0
        self._by_key: dict[str, Match] = {}
        # It prints tracebacks of what it bears well; pygbif turns its voice on when it is imported.
        logging.getLogger("urllib3").setLevel(logging.CRITICAL)

    def match(self, asked: Asked) -> Match | Fault:
        """Return what the checklist holds of a name. Of a synonym's accepted name, its own status is looked up."""
        found = self._match(
            scientificName=asked.verbatim,
            scientificNameAuthorship=asked.authorship or None,
            taxonRank=asked.rank or None,
            kingdom=KINGDOM,
            verbose=True,
        )
        return self._followed(found) if isinstance(found, Match) else found

    def release(self) -> Release | Fault:
        """Return the release that answers now, empty where the service does not tell."""
        from pygbif import gbifutils

        address = gbifutils.gbif_baseurl.replace("/v1/", "/v2/") + "species/match/metadata"
        asked = {"checklistKey": self.checklist}
        found = self._tried(lambda: gbifutils.gbif_GET(address, asked, timeout=self._timeout))
        return found if isinstance(found, Fault) else release_of(found)

    def asks_to_stop(self, fault: Fault) -> bool:
        """Tell whether the service asks to be left alone for longer than it is waited for."""
        return (fault.wait or 0) > self.patience.most_asked

    @property
    def _timeout(self) -> tuple[float, float]:
        return self.patience.connect, self.patience.read

    def _match(self, **words: Any) -> Match | Fault:
        from pygbif import species

        found = self._tried(lambda: species.name_backbone(**words, checklistKey=self.checklist, timeout=self._timeout))
        return found if isinstance(found, Fault) else match_of(found)

    def _followed(self, match: Match) -> Match | Fault:
        """Return a match whose accepted name has its own status: a source may chain one synonym to another."""
        usage, accepted = match.usage, match.accepted
        if match.match_type not in {EXACT, VARIANT} or usage is None or accepted is None or accepted.status:
            return match
        if usage.status not in SYNONYMS:
            return match
        found = self._by_key.get(accepted.key) or self._match(usageKey=accepted.key)
        if isinstance(found, Fault):
            return found
        self._by_key[accepted.key] = found
        return replace(match, accepted=_known_better(accepted, found))

    def _tried(self, ask: Callable[[], Any]) -> Any:
        """Return what a question is answered with, or the fault of the last try."""
        found: Any = Fault("it was never asked")
        for failed in range(self.patience.tries):
            self._await_turn()
            found = _asked_once(lambda: _within(self.patience.whole, ask), self.clock.now())
            self._not_before = self.clock.seconds() + self.patience.interval
            if not isinstance(found, Fault) or not found.may_pass or self.asks_to_stop(found):
                return found
            self._not_before += max(found.wait or 0, self._drawn(failed))
        return found

    def _drawn(self, failed: int) -> float:
        return self.clock.draw(0, min(self.patience.most_wait, self.patience.first_wait * 2**failed))

    def _await_turn(self) -> None:
        if (left := self._not_before - self.clock.seconds()) > 0:
            self.clock.sleep(left)


def _known_better(accepted: Usage, found: Match) -> Usage:
    """Return an accepted usage with what its own key leads to."""
    if found.usage is None or found.usage.key != accepted.key:
        return replace(accepted, status=NOT_FOUND_BY_KEY)
    return Usage(
        accepted.key,
        accepted.canonical,
        accepted.authorship or found.usage.authorship,
        accepted.rank or found.usage.rank,
        found.usage.status or "not told",
    )


def release_of(metadata: Any) -> Release:
    """Return the release in what the service says of its index; what is not there stays empty.

    >>> release_of({"created": "2026-06-02T08:15:11", "mainIndex": {"datasetAlias": "COL26.6 XR"}}).name
    'COL26.6 XR, index of 2026-06-02'
    """
    whole = metadata if isinstance(metadata, dict) else {}
    inner = whole.get("mainIndex")
    index = inner if isinstance(inner, dict) else {}
    name = word_of(index.get("datasetAlias")) or word_of(index.get("clbDatasetKey"))
    created = word_of(whole.get("created"))[:10]
    told = (name, f"index of {created}" if created else "")
    return Release(word_of(index.get("datasetTitle")), ", ".join(filter(None, told)))


def _within(seconds: float, ask: Callable[[], Any]) -> Any:
    """Return what a question is answered with; raises TimeoutError where that takes longer in all.

    The timeouts of the library start anew with each byte, so a service that drips could hold us for ever.
    """
    told: SimpleQueue[tuple[Any, Exception | None]] = SimpleQueue()

    def listen() -> None:
        try:
            told.put((ask(), None))
        except Exception as error:
            told.put((None, error))

    Thread(target=listen, daemon=True).start()
    try:
        answer, error = told.get(timeout=seconds)
    except Empty:
        raise TimeoutError from None
    if error:
        raise error
    return answer


def _asked_once(ask: Callable[[], Any], now: datetime) -> Any:
    """Return what one try is answered with, or why it is not."""
    import requests
    from pygbif.gbifutils import NoResultException

    cut = (requests.ConnectionError, requests.exceptions.ChunkedEncodingError, requests.exceptions.ContentDecodingError)
    try:
        return ask()
    except requests.HTTPError as error:
        return _refused(error.response, now)
    except (requests.Timeout, TimeoutError):
        return Fault("the service does not answer in time", may_pass=True)
    except cut:
        return Fault("the connection to the service fails", may_pass=True)
    except (NoResultException, KeyError):
        return Fault("the service answers with a page in place of an answer", may_pass=True)
    except requests.exceptions.JSONDecodeError:
        return Fault(GARBLED, may_pass=True)
    except OSError as error:  # the parent of all that the library raises
        return Fault(f"the connection cannot be made ({type(error).__name__})")
    except UnicodeEncodeError:
        return Fault("the name holds a sign that cannot be sent")
    except (ValueError, RecursionError):
        return Fault(GARBLED, may_pass=True)


GARBLED = "the service's answer is broken off or garbled"


def _refused(response: Any, now: datetime) -> Fault:
    """Return the fault of an answer that says by its number that it is none."""
    status = int(response.status_code)
    wait = seconds_asked(response.headers.get("Retry-After", ""), now)
    if status == TOO_MANY:
        return Fault("the service asks to be asked less often (HTTP 429)", may_pass=True, wait=wait)
    if status >= SERVER_ERRORS or status == REQUEST_TIMEOUT:
        return Fault(f"the service is in trouble (HTTP {status})", may_pass=True, wait=wait)
    return Fault(f"the service refuses the question (HTTP {status})")


def seconds_asked(text: str, now: datetime) -> float | None:
    """Return how long a ``Retry-After`` asks to wait, given in seconds or as a date; None where it says neither.

    >>> seconds_asked("120", datetime(2026, 11, 26, tzinfo=UTC))
    120.0
    """
    text = text.strip()
    if text.isascii() and text.isdigit():
        return float(text[:12])  # longer than anybody waits
    try:
        until = parsedate_to_datetime(text)
    except (ValueError, TypeError, IndexError, OverflowError):
        return None
    until = until if until.tzinfo else until.replace(tzinfo=UTC)
    return max(0.0, (until - now).total_seconds())
