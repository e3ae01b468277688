"""A stand-in for the name matching service: a server on this machine that answers in its shapes, and misbehaves.

It knows nothing but what a test tells it. pygbif has no setting for an address, so its way to the network is led
here: the host of each address is replaced, and all else of a question arrives as pygbif sends it.
"""

from __future__ import annotations

import json
import socket
import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
import requests

from sporeproof.names.live import Clock
from tests.conftest import ROOT

PUBLISHED = ROOT / "tests" / "outside" / "gbif"
MATCH = "/v2/species/match"
METADATA = "/v2/species/match/metadata"
START = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)
REAL_CONNECT = socket.socket.connect
REAL_GET = requests.get


def published(name: str) -> Any:
    """Return one of the published example answers."""
    return json.loads((PUBLISHED / f"{name}.json").read_text("utf-8"))


# ----- What the server answers with -----


@dataclass(frozen=True)
class Reply:
    """One answer: how it looks, or in ``manner`` how it fails to come: reset, closed, silent, dripping, raw or cut."""

    body: Any = None
    status: int = 200
    content_type: str = "application/json"
    headers: dict[str, str] = field(default_factory=dict)
    manner: str = ""

    @property
    def bytes(self) -> bytes:
        """The body as it is sent; what is no bytes yet is sent as JSON."""
        return self.body if isinstance(self.body, bytes) else json.dumps(self.body).encode()


def accepted(key: str, name: str, authorship: str = "", **members: Any) -> dict[str, Any]:
    """Return the answer on an accepted name; further members go into its usage."""
    return {
        "usage": usage(key, name, authorship, status="ACCEPTED") | members,
        "classification": [{"key": "F", "name": "Fungi", "rank": "KINGDOM"}],
        "diagnostics": {"matchType": "EXACT", "confidence": 99, "timeTaken": 1, "timings": {}},
        "synonym": False,
    }


def synonym(key: str, name: str, accepted_key: str, accepted_name: str, authorship: str = "") -> dict[str, Any]:
    """Return the answer on a synonym; its accepted usage has no status, as with the service."""
    return accepted(key, name, authorship, status="SYNONYM") | {
        "acceptedUsage": usage(accepted_key, accepted_name, ""),
        "synonym": True,
    }


def usage(key: str, name: str, authorship: str, **members: Any) -> dict[str, Any]:
    """Return a usage of the rank of a species."""
    whole = f"{name} {authorship}".strip()
    given = {"key": key, "name": whole, "canonicalName": name, "authorship": authorship, "rank": "SPECIES"} | members
    return {member: value for member, value in given.items() if value}


NOTHING = {"diagnostics": {"matchType": "NONE", "confidence": 100, "timeTaken": 1}, "synonym": False}


# ----- The server -----


class Stub:
    """The server. ``replies`` holds, by name or key asked, the answers to come; the last one stays.

    ``asked`` holds the parameters of each question on a name, ``paths`` every path, ``sent`` what pygbif gave its
    transport: the host it meant and the timeout.
    """

    def __init__(self) -> None:
        self.replies: dict[str, list[Any]] = {}
        self.metadata: list[Any] = [published("metadata")]
        self.otherwise: list[Any] = [NOTHING]
        self.asked: list[dict[str, str]] = []
        self.paths: list[str] = []
        self.sent: list[tuple[str, Any]] = []
        self.closing = threading.Event()
        self.address = ("127.0.0.1", 0)

    def reply_to(self, path: str, query: dict[str, str]) -> Reply:
        """Return the next reply to a question."""
        self.paths.append(path)
        if path == METADATA:
            waiting = self.metadata
        elif path == MATCH:
            self.asked.append(query)
            waiting = self.replies.get(query.get("usageKey") or query.get("scientificName", ""), self.otherwise)
        else:
            return Reply({"status": 404}, 404)
        found = waiting.pop(0) if len(waiting) > 1 else waiting[0]
        return found if isinstance(found, Reply) else Reply(found)

    @property
    def names(self) -> list[str]:
        """The names that were asked, in order; a question by key is left out."""
        return [each["scientificName"] for each in self.asked if "scientificName" in each]


def _handler(stub: Stub) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            parts = urlsplit(self.path)
            query = {key: values[0] for key, values in parse_qs(parts.query, keep_blank_values=True).items()}
            reply = stub.reply_to(parts.path, query)
            if reply.manner == "reset":
                self.connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            if reply.manner == "silent":
                stub.closing.wait()
            if reply.manner == "dripping":
                self._drip()
            if reply.manner == "raw":
                self.wfile.write(reply.bytes)
            if reply.manner in {"reset", "closed", "silent", "dripping", "raw"}:
                self.connection.close()
                return
            self.send_response(reply.status)
            if reply.content_type:
                self.send_header("Content-Type", reply.content_type)
            self.send_header("Content-Length", str(len(reply.bytes)))
            for header, value in reply.headers.items():
                self.send_header(header, value)
            self.end_headers()
            self.wfile.write(reply.bytes[: len(reply.bytes) // 2] if reply.manner == "cut" else reply.bytes)

        def _drip(self) -> None:
            """Begin an answer and send a blank now and then, for as long as the server runs."""
            self.wfile.write(b"HTTP/1.0 200 OK\r\nContent-Type: application/json\r\n\r\n")
            with suppress(OSError):
                while not stub.closing.wait(0.01):
                    self.wfile.write(b" ")

        def finish(self) -> None:
            with suppress(OSError, ValueError):  # the connection is closed already
                super().finish()

        def log_message(self, *_: object) -> None:
            pass

    return Handler


@contextmanager
def serving() -> Iterator[Stub]:
    """Yield a server that runs until the end of the block."""
    stub = Stub()
    server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(stub))
    server.daemon_threads = True
    server.handle_error = lambda *_: None  # type: ignore[method-assign]
    stub.address = server.server_address[:2]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True)
    thread.start()
    try:
        yield stub
    finally:
        stub.closing.set()
        server.shutdown()
        server.server_close()
        thread.join()


def lead(patch: pytest.MonkeyPatch, stub: Stub) -> None:
    """Lead what pygbif and we ask of the network to a server of this machine."""
    patch.setenv("NO_PROXY", "*")
    patch.setattr(socket.socket, "connect", _to_itself)

    def get(address: str, **words: Any) -> requests.Response:
        stub.sent.append((address, words.get("timeout")))
        host, port = stub.address
        return REAL_GET(urlsplit(address)._replace(scheme="http", netloc=f"{host}:{port}").geturl(), **words)

    patch.setattr(requests, "get", get)


def _to_itself(self: socket.socket, address: Any) -> None:
    if address[0] != "127.0.0.1":
        raise AssertionError("a test reached for the network")
    REAL_CONNECT(self, address)


# ----- A clock that nobody waits for -----


class Hands:
    """A clock whose time passes only where somebody waits for it. ``slept`` holds the waits, ``drawn`` the limits."""

    def __init__(self, start: datetime = START) -> None:
        self.passed = 0.0
        self.start = start
        self.slept: list[float] = []
        self.drawn: list[tuple[float, float]] = []

    def clock(self) -> Clock:
        """Return the clock."""
        return Clock(
            now=lambda: self.start + timedelta(seconds=self.passed),
            seconds=lambda: self.passed,
            sleep=self._sleep,
            draw=self._draw,
        )

    def _sleep(self, seconds: float) -> None:
        assert seconds > 0
        self.slept.append(seconds)
        self.passed += seconds

    def _draw(self, low: float, high: float) -> float:
        self.drawn.append((low, high))
        return high


def free_port() -> int:
    """Return a port on which nobody listens."""
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return int(held.getsockname()[1])
