"""Takes a page's nodes to plain values of a shape; what does not fit is noted as a trouble and left out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from sporeproof.text.nearest import nearest
from sporeproof.text.read import Node, Page, read_as

if TYPE_CHECKING:
    from sporeproof.form.shapes import Shape

# Troubles that leave the rest of an entry readable as it stands.
HARMLESS = frozenset({"unknown-key", "missing-key"})
KINDS = {
    "text": "a word or a sentence",
    "whole": "a whole number",
    "number": "a number",
    "date": "a date such as 2026-11-25",
    "truth": "true or false",
    "list": "a list",
    "keys": "a block of named keys",
    "mapping": "a block of named keys",
    "each": "a block of named keys",
    "value": "a state, a list of states or a range",
    "accepted": "a list of states or a range",
    "sources": "the id of a source, or a list of them",
    "either": "a word or a block of named keys",
    "alias": "an alias",
}
AT_A_STAGE = "the states alone (a source goes round it all: `{is: {young: [a], mature: [b]}, source: c}`)"
LEFT_OUT = object()
LOW_AND_HIGH = 2


def build(page: Page, shape: Shape) -> Any:
    """Return the page's plain value, or None where nothing of it can be used; troubles go to the page."""
    if page.root is None:
        return None
    value = _fit(page, page.root, shape)
    return None if value is LEFT_OUT else value


def _fit(page: Page, node: Node, shape: Shape) -> Any:
    if node.kind == "alias":
        return LEFT_OUT
    if node.kind == "trap" and not (node.raw == "" and shape.kind in {"list", "each", "keys"}):
        return _trapped(page, node, shape)
    return FITS[shape.kind](page, node, shape)


def _trapped(page: Page, node: Node, shape: Shape) -> Any:
    """An unquoted word that YAML takes for something else, or a key with nothing after it."""
    if node.raw == "":
        page.trouble("nothing-given", node.place, KINDS[shape.kind])
    else:
        page.trouble("yaml-trap", node.place, node.raw, read_as(node.raw), KINDS[shape.kind])
    return LEFT_OUT


def _wrong(page: Page, node: Node, shape: Shape) -> Any:
    if node.kind == "alias":
        return LEFT_OUT  # noted already
    page.trouble("wrong-shape", node.place, node.raw, KINDS[node.kind], KINDS[shape.kind])
    return LEFT_OUT


def _text(page: Page, node: Node, shape: Shape) -> Any:
    if node.kind in {"whole", "number", "date", "truth"}:
        page.trouble("yaml-trap", node.place, node.raw, read_as(node.raw), KINDS[shape.kind])
        return LEFT_OUT
    if node.kind != "text":
        return _wrong(page, node, shape)
    if not node.value.strip():
        page.trouble("nothing-given", node.place, KINDS[shape.kind])
        return LEFT_OUT
    if shape.pattern and not re.fullmatch(shape.pattern, node.value):
        page.trouble("looks-wrong", node.place, node.value, shape.looks_like)
        return LEFT_OUT
    return node.value


def _scalar(page: Page, node: Node, shape: Shape) -> Any:
    fits = node.kind == shape.kind or (shape.kind == "number" and node.kind == "whole")
    return node.value if fits else _wrong(page, node, shape)


def _list(page: Page, node: Node, shape: Shape) -> Any:
    if node.kind == "trap":
        return _nothing(page, node, shape)
    if node.kind != "list":
        return _wrong(page, node, shape)
    assert shape.of is not None
    fitted = [_fit(page, item, shape.of) for item in node.value]
    return [each for each in fitted if each is not LEFT_OUT]


def _nothing(page: Page, node: Node, shape: Shape) -> Any:
    page.trouble("nothing-given", node.place, KINDS[shape.kind])
    return LEFT_OUT


def _keys(page: Page, node: Node, shape: Shape) -> Any:
    if node.kind == "trap":
        return _nothing(page, node, shape)
    if node.kind != "mapping":
        return _wrong(page, node, shape)
    built = {}
    missing = [key for key, wanted in shape.keys.items() if wanted.required and key not in node.value]
    for key, below in node.value.items():
        if (wanted := shape.keys.get(key)) is None:
            page.trouble("unknown-key", node.keys[key].place, key, *shape.keys)
            missing = _without(missing, nearest(key, missing))
        elif (value := _fit(page, below, wanted)) is not LEFT_OUT:
            built[key] = value
    for key in missing:
        page.trouble("missing-key", node.place, key, shape.keys[key].says)
    return built


def _without(words: list[str], word: str) -> list[str]:
    """Return the words but one: a key that is only misspelt is one trouble, not two."""
    return [each for each in words if each != word]


def _with(page: Page, node: Node, shape: Shape, key: str) -> Any:
    """Return a block that says nothing without one of its keys."""
    built = _keys(page, node, shape)
    return built if built is LEFT_OUT or key in built else LEFT_OUT


def _each(page: Page, node: Node, shape: Shape) -> Any:
    if node.kind == "trap":
        return _nothing(page, node, shape)
    if node.kind != "mapping":
        return _wrong(page, node, shape)
    assert shape.of is not None
    built = {}
    for key, below in node.value.items():
        if shape.key_pattern and not re.fullmatch(shape.key_pattern, key):
            page.trouble("looks-wrong", node.keys[key].place, key, shape.key_looks_like)
        if (value := _fit(page, below, shape.of)) is not LEFT_OUT:
            built[key] = value
    return built


def _either(page: Page, node: Node, shape: Shape) -> Any:
    for option in shape.options:
        if (node.kind == "mapping") == (option.kind in {"keys", "each"}):
            return _fit(page, node, option)
    return _wrong(page, node, shape)


def _sources(page: Page, node: Node, shape: Shape) -> Any:
    """Return source ids as written; a recalled one keeps its mapping."""
    if node.kind == "list":
        fitted = [_one_source(page, item, shape) for item in node.value]
        return [each for each in fitted if each is not LEFT_OUT]
    one = _one_source(page, node, shape)
    return one if one is LEFT_OUT else [one]


def _one_source(page: Page, node: Node, shape: Shape) -> Any:
    if node.kind == "mapping":
        unknown = [key for key in node.value if key not in shape.recall.keys]
        return _with(page, node, shape.recall, "source") if not unknown else _wrong(page, node, shape)
    return _text(page, node, shape) if node.kind != "trap" else _trapped(page, node, shape)


def _states(page: Page, node: Node, shape: Shape) -> Any:
    """A word, a list of words, or a range of two numbers."""
    if node.kind == "text":
        return _text(page, node, shape)
    if node.kind != "list":
        return _wrong(page, node, shape)
    if not node.value:
        return _nothing(page, node, shape)
    kinds = {item.kind for item in node.value}
    if kinds <= {"whole", "number"} and len(node.value) == LOW_AND_HIGH:
        return [item.value for item in node.value]
    if kinds & {"whole", "number"} and kinds <= {"whole", "number"}:
        page.trouble("wrong-shape", node.place, "", "a list of numbers", "a range of two numbers")
        return LEFT_OUT
    fitted = [_text(page, item, shape) if item.kind != "trap" else _trapped(page, item, shape) for item in node.value]
    return [each for each in fitted if each is not LEFT_OUT] or LEFT_OUT


def _value(page: Page, node: Node, shape: Shape) -> Any:
    if node.kind != "mapping":
        return _states(page, node, shape)
    if not node.value:
        return _nothing(page, node, shape)
    if "is" in node.value or "source" in node.value:
        return _with(page, node, shape.sourced, "is")
    built = {}
    for stage, below in node.value.items():
        if stage not in shape.stages:
            page.trouble("unknown-key", node.keys[stage].place, stage, "is", "source", *shape.stages)
        elif below.kind == "trap":
            _trapped(page, below, shape)
        elif below.kind == "mapping":
            page.trouble("wrong-shape", below.place, "", KINDS["mapping"], AT_A_STAGE)
        elif (states := _states(page, below, shape)) is not LEFT_OUT:
            built[stage] = states
    return built or LEFT_OUT


FITS = {
    "text": _text,
    "whole": _scalar,
    "number": _scalar,
    "date": _scalar,
    "list": _list,
    "keys": _keys,
    "each": _each,
    "either": _either,
    "sources": _sources,
    "value": _value,
    "accepted": _states,
}
