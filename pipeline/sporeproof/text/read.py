"""Reads a YAML file into nodes that know their place. Bad form comes back as troubles, never as an exception.

One pass over the events of PyYAML's C parser, composed here: unlike its composed nodes, events show an anchor that
nothing uses, and how deep a file nests before anything follows it down. ``nox -s bench`` prints what that costs
beside the bare composer.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import cache, lru_cache
from typing import Any

import yaml

from sporeproof.findings import Mark, Trouble
from sporeproof.text.places import Place, lines, mark_of, place_at, place_of

MOST_BYTES = 256 * 1024
MOST_LEVELS = 20
MOST_NODES = 20_000
LONGEST_WORD = 200

NOT_YAML = yaml.reader.Reader.NON_PRINTABLE
# Nothing in a checklist has more than nine digits; thousands of them would cost time or overflow.
WHOLE = re.compile(r"-?(?:0|[1-9][0-9]{0,8})\Z")
NUMBER = re.compile(r"-?(?:0|[1-9][0-9]{0,8})\.(?:0|[0-9]{0,8}[1-9])\Z")
TRUTHS = {"true": True, "false": False}
# What is best shown where it began; the parser notices it only later.
LEFT_OPEN = frozenset(
    {
        "could not find expected ':'",
        "did not find expected ',' or ']'",
        "did not find expected ',' or '}'",
        "found unexpected end of stream",
    }
)
DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})\Z")
# Shared by all nodes but mappings, of which a file has few: never written to.
NO_KEYS: dict[str, Node] = {}


@dataclass(slots=True)
class Node:
    """A piece of a file. ``kind``: text, whole, number, truth, date, list, mapping, alias, or trap.

    A trap is an unquoted scalar that YAML 1.1 takes for something that it does not look like.

    ``value`` is plain for a scalar, a list of nodes, or nodes by key; ``raw`` is the scalar as written;
    ``event`` is what the parser saw there, ``keys`` the nodes of a mapping's keys themselves.
    """

    kind: str
    value: Any
    event: Any
    raw: str
    keys: dict[str, Node]

    @property
    def place(self) -> Place:
        """Where it stands; worked out when asked for, since few nodes are ever pointed at."""
        return place_of(self.event)


@dataclass(slots=True)
class Page:
    """The text of one file, its root node where there is one, and what was wrong with its form."""

    file: str
    text: str = ""
    root: Node | None = None
    troubles: list[Trouble] = field(default_factory=list)

    def mark(self, place: Place) -> Mark:
        """Return the place as a mark with its line's text."""
        return mark_of(self.text, self.file, place)

    def trouble(self, kind: str, place: Place, *words: str) -> None:
        """Note a trouble at a place; a word that fills pages is cut."""
        cut = tuple(each if len(each) <= LONGEST_WORD else f"{each[:LONGEST_WORD]}…" for each in words)
        self.troubles.append(Trouble(kind, self.mark(place), cut))


class _Stop(Exception):
    """The page cannot be read further; the trouble is noted already."""


def read_page(data: bytes, file: str) -> Page:
    """Return the page of a file's bytes: at most 256 KiB of UTF-8, one YAML document of plain values."""
    page = Page(file)
    if len(data) > MOST_BYTES:
        page.trouble("too-large", (-1, -1, 1), str(len(data) // 1024), str(MOST_BYTES // 1024))
        return page
    try:
        page.text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        page.text = data[: error.start].decode("utf-8")
        page.trouble("not-utf8", place_at(page.text, error.start), f"0x{data[error.start]:02x}")
        return page
    return _parsed(page)


def _parsed(page: Page) -> Page:
    if page.text.startswith("\ufeff"):
        page.trouble("byte-order-mark", (0, 0, 1))
        return page
    if found := NOT_YAML.search(page.text):
        page.trouble("hidden-sign", place_at(page.text, found.start()), f"U+{ord(found[0]):04X}")
        return page
    try:
        page.root = _Composer(page).document()
    except _Stop:
        page.root = None
    except yaml.MarkedYAMLError as error:
        _broken(page, error)
    return page


def _broken(page: Page, error: yaml.MarkedYAMLError) -> None:
    """Note what the parser stumbled over, a tab apart from the rest."""
    mark = error.problem_mark or error.context_mark
    place = (mark.line, mark.column, 1) if mark else (0, 0, 1)
    there = lines(page.text)
    line = there[place[0]] if place[0] < len(there) else ""
    if "\t" in line[: place[1] + 1]:
        page.trouble("tab", (place[0], line.index("\t"), 1))
        return
    if error.problem in LEFT_OPEN and error.context_mark:
        place = (error.context_mark.line, error.context_mark.column, 1)
    page.trouble("broken-yaml", place, error.problem or "", error.context or "")


class _Composer:
    """Builds nodes from parser events; holds the state of one pass."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.next: Callable[[], Any] = yaml.CSafeLoader(page.text).get_event
        self.left = MOST_NODES

    def document(self) -> Node | None:
        self.next()
        if not isinstance(self.next(), yaml.DocumentStartEvent):
            self.page.trouble("empty", (0, 0, 1))
            return None
        root = self.node(self.next(), 0)
        self.next()
        after = self.next()
        if isinstance(after, yaml.DocumentStartEvent):
            self.page.trouble("several-documents", place_of(after))
            return None
        if root.kind == "trap" and not root.raw:
            self.page.trouble("empty", (0, 0, 1))
            return None
        return root

    def node(self, event: Any, depth: int) -> Node:
        self.left -= 1
        if depth > MOST_LEVELS:
            self._stop("too-deep", event, str(MOST_LEVELS))
        if self.left < 0:
            self._stop("too-many-values", event, str(MOST_NODES))
        if isinstance(event, yaml.AliasEvent):
            self.page.trouble("alias", place_of(event), str(event.anchor))
            return Node("alias", None, event, str(event.anchor), NO_KEYS)
        if event.anchor is not None or event.tag is not None:
            self._plainness(event)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event)
        build = self.mapping if isinstance(event, yaml.MappingStartEvent) else self.sequence
        return build(event, depth)

    def _stop(self, kind: str, event: Any, *words: str) -> None:
        self.page.trouble(kind, place_of(event), *words)
        raise _Stop

    def _plainness(self, event: Any) -> None:
        if event.anchor is not None:
            self.page.trouble("anchor", place_of(event), event.anchor)
        if event.tag is not None:
            self.page.trouble("tag", place_of(event), event.tag)

    def scalar(self, event: Any) -> Node:
        text = event.value
        if not text.isprintable() and (hidden := [sign for sign in text if _is_hidden(sign)]):
            self.page.trouble("hidden-sign", place_of(event), f"U+{ord(hidden[0]):04X}")
        if not event.implicit[0]:
            return Node("text", text, event, text, NO_KEYS)
        kind, value = _plain_scalar(text)
        return Node(kind, value, event, text, NO_KEYS)

    def sequence(self, event: Any, depth: int) -> Node:
        items = []
        while not isinstance(item := self.next(), yaml.SequenceEndEvent):
            items.append(self.node(item, depth + 1))
        return Node("list", items, event, "", NO_KEYS)

    def mapping(self, event: Any, depth: int) -> Node:
        node = Node("mapping", {}, event, "", {})
        while not isinstance(item := self.next(), yaml.MappingEndEvent):
            key = self.node(item, depth + 1)
            value = self.node(self.next(), depth + 1)
            self._put(node, key, value)
        return node

    def _put(self, node: Node, key: Node, value: Node) -> None:
        word = key.raw
        if key.kind == "alias":
            return  # noted already
        if not _names_a_key(key):
            self.page.trouble("key-not-a-word", key.place, word, _read_as(key))
        elif word in node.value:
            self.page.trouble("duplicate-key", key.place, word, str(node.keys[word].place[0] + 1))
        else:
            node.value[word] = value
            node.keys[word] = key


def _names_a_key(key: Node) -> bool:
    """Keys are taken as written, so `on`, and the tag `no` for Norwegian, are words before a colon."""
    return bool(key.raw.strip()) and (key.kind == "text" or read_as(key.raw).startswith("the answer"))


@lru_cache(maxsize=4096)
def _plain_scalar(text: str) -> tuple[str, Any]:
    """Return kind and value of an unquoted scalar; a trap where YAML 1.1 reads something unexpected."""
    tag = _resolver().resolve(yaml.ScalarNode, text, (True, False)).rpartition(":")[2]
    if tag == "str":
        return "text", text
    if tag == "bool" and text in TRUTHS:
        return "truth", TRUTHS[text]
    if tag == "int" and WHOLE.match(text):
        return "whole", int(text)
    if tag == "float" and NUMBER.match(text):
        return "number", float(text)
    if tag == "timestamp" and (found := DAY.match(text)):
        try:
            return "date", date(*map(int, found.groups()))
        except ValueError:
            return "trap", None
    return "trap", None


def read_as(text: str) -> str:
    """Return what YAML 1.1 takes an unquoted word for, in plain words; empty where it stays a word."""
    tag = _resolver().resolve(yaml.ScalarNode, text, (True, False)).rpartition(":")[2]
    if tag == "str":
        return ""
    if tag == "bool":
        return "the answer yes" if text.lower() in {"yes", "true", "on"} else "the answer no"
    if tag in {"int", "float"}:
        return _number_read(tag, text)
    return {"null": "nothing at all", "timestamp": "a date"}.get(tag, "a special sign")


def _number_read(tag: str, text: str) -> str:
    try:
        number = getattr(yaml.SafeLoader(""), f"construct_yaml_{tag}")(yaml.ScalarNode("", text))
        return f"the number {number:.12g}"
    except (ValueError, OverflowError):  # too long, or a prefix without digits
        return "a number"


def _is_hidden(sign: str) -> bool:
    return sign != "\n" and not sign.isprintable()


def _read_as(key: Node) -> str:
    return {"list": "a list", "mapping": "a block of keys"}.get(key.kind) or read_as(key.raw)


@cache
def _resolver() -> Any:
    return yaml.SafeLoader("")


def plain(node: Node | None) -> Any:
    """Return a node's plain value, for files of our own; a trap stays the word as written."""
    if node is None or node.kind == "alias":
        return None
    if node.kind == "mapping":
        return {key: plain(below) for key, below in node.value.items()}
    if node.kind == "list":
        return [plain(below) for below in node.value]
    return node.raw if node.kind == "trap" else node.value
