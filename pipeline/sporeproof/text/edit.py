"""Edits the text of a YAML file at one place, and leaves every other letter as it stands.

Text goes in and text comes out: comments, layout, quotes and line ends stay. What comes out is read again by
:mod:`sporeproof.text.read` and must say exactly what was meant, else the edit is refused. A page's nodes know
where they start; the composer's, used here, also where they end.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import yaml

from sporeproof.text.places import LINE_BREAK
from sporeproof.text.read import Node, read_page

Path_ = tuple[str | int, ...]

BLOCK_STYLES = {"|", ">"}
COMMA_AFTER = re.compile(r"[ \t]*,(?:[ \t]+(?=[^\s#]))?")


class EditRefused(Exception):
    """The edit was not made; the message says why, in a sentence."""


@dataclass(frozen=True, slots=True)
class _Spot:
    """A node, the key it stands under if any, and whether it stands inside brackets."""

    node: yaml.Node
    key: yaml.Node | None = None
    inline: bool = False

    @property
    def opens_brackets(self) -> bool:
        """Tell whether what the node holds stands inside brackets."""
        return self.inline or bool(isinstance(self.node, yaml.CollectionNode) and self.node.flow_style)


def replace_words(text: str, words: Mapping[Path_, str]) -> str:
    """Return the text with the words at some paths replaced, each in its own kind of quotes if it can be."""
    wanted, root, edits = _read(text), _tree(text), []
    for path, word in words.items():
        spot = _spot(root, path)
        node = spot.node
        if not isinstance(node, yaml.ScalarNode) or node.style in BLOCK_STYLES or not node.value:
            raise EditRefused(f"`{_spoken(path)}` does not hold one word or sentence, so it is not replaced.")
        new = written(word, inline=spot.inline, style=node.style or "")
        edits.append((_start(node), _end(node, text), new))
        _below(wanted, path[:-1])[path[-1]] = word
    for start, end, new in sorted(edits, reverse=True):
        text = text[:start] + new + text[end:]
    return _confirmed(text, wanted)


def insert_key(text: str, path: Path_, after: str, key: str, value: Any) -> str:
    """Return the text with a key put after another one of the block at ``path``."""
    wanted, spot = _read(text), _spot(_tree(text), path)
    given = _below(wanted, path)
    if not isinstance(given, dict) or after not in given or key in given:
        raise EditRefused(f"`{key}` has no place after `{after}`, or stands there already.")
    items = list(given.items())
    items.insert(list(given).index(after) + 1, (key, value))
    given.clear()
    given.update(items)
    end = _end(_child(spot, after).node, text)
    line = f"{key}: {written(value, inline=spot.opens_brackets)}"
    return _confirmed(_after(text, end, line, spot), wanted)


def add_item(text: str, path: Path_, value: Any, *, first: bool = False, after: str = "") -> str:
    """Return the text with an item put into the list at ``path``, last or first.

    A list that is not there is made, after the key ``after`` of the same block.
    """
    wanted = _read(text)
    given = _below(wanted, path[:-1])
    if isinstance(given, dict) and path[-1] not in given:
        return insert_key(text, path[:-1], after, str(path[-1]), [value])
    spot = _spot(_tree(text), path)
    if not isinstance(spot.node, yaml.SequenceNode):
        raise EditRefused(f"`{_spoken(path)}` is not a list, so nothing is added to it.")
    given[path[-1]].insert(0 if first else len(spot.node.value), value)
    return _confirmed(_with_item(text, spot, value, first), wanted)


def remove(text: str, path: Path_) -> str:
    """Return the text without the key or item at ``path``; a comment beside it stays, on its own line."""
    wanted, root = _read(text), _tree(text)
    holder, spot = _spot(root, path[:-1]), _spot(root, path)
    if _holds_comment(spot.node, text):
        raise EditRefused(f"A comment stands inside `{_spoken(path)}`: move it elsewhere first.")
    del _below(wanted, path[:-1])[path[-1]]
    start, end = _start(spot.key or spot.node), _end(spot.node, text)
    if holder.opens_brackets:
        start, end = _with_comma(text, start, end)
    elif spot.key is None:
        start = text.rfind("-", 0, start)
    return _confirmed(_without(text, start, end), wanted)


def written(value: Any, *, inline: bool = True, style: str = "") -> str:
    """Return a plain value as YAML on one line; a word that YAML would take for something else is quoted.

    >>> written("Fictum commune"), written("NO"), written({"name": "Pers.: Fr., 1821"})
    ('Fictum commune', "'NO'", "{name: 'Pers.: Fr., 1821'}")
    """
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {written(below)}" for key, below in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    if not isinstance(value, str):
        return str(value)
    ways = {"": value, "'": "'" + value.replace("'", "''") + "'", '"': json.dumps(value, ensure_ascii=False)}
    for way in (style, *ways):
        if _reads_as(value, ways[way], inline):
            return ways[way]
    raise EditRefused("The new text holds a sign that an entry may not hold.")


def _reads_as(value: str, word: str, inline: bool) -> bool:
    page = read_page(f"x: [{word}]\n".encode() if inline else f"x: {word}\n".encode(), "")
    wanted = {"x": [value] if inline else value}
    return not page.troubles and page.root is not None and _exact(page.root) == wanted


def _read(text: str) -> Any:
    """Return the plain value of a text that is sound enough to be edited."""
    page = read_page(text.encode(), "")
    if page.troubles or page.root is None:
        line = page.troubles[0].at.line if page.troubles else 1
        raise EditRefused(f"Line {line} cannot be read as it stands, so nothing is edited.")
    return _exact(page.root)


def _confirmed(text: str, wanted: Any) -> str:
    """Return the edited text if it says what was meant, keys in their order and words as words."""
    page = read_page(text.encode(), "")
    if page.troubles or page.root is None or repr(_exact(page.root)) != repr(wanted):
        raise EditRefused("The layout here is too unusual to be edited safely: make this change by hand.")
    return text


def _exact(node: Node) -> Any:
    """Return the plain value, with what YAML takes for something else told apart from a word."""
    if node.kind == "mapping":
        return {key: _exact(below) for key, below in node.value.items()}
    if node.kind == "list":
        return [_exact(below) for below in node.value]
    return ("unquoted", node.raw) if node.kind == "trap" else node.value


def _tree(text: str) -> _Spot:
    root = yaml.compose(text, Loader=yaml.CSafeLoader)
    if root is None:
        raise EditRefused("There is nothing here to edit.")
    return _Spot(root)


def _spot(root: _Spot, path: Path_) -> _Spot:
    spot = root
    for step in path:
        spot = _child(spot, step)
    return spot


def _child(spot: _Spot, step: str | int) -> _Spot:
    inline = spot.opens_brackets
    if isinstance(spot.node, yaml.MappingNode):
        for key, below in spot.node.value:
            if key.value == step:
                return _Spot(below, key, inline)
    if isinstance(spot.node, yaml.SequenceNode) and isinstance(step, int) and step < len(spot.node.value):
        return _Spot(spot.node.value[step], None, inline)
    raise EditRefused(f"There is no `{_spoken((step,))}` here to edit.")


def _below(value: Any, path: Path_) -> Any:
    """Return the plain value at a path, to be changed in place."""
    try:
        for step in path:
            value = value[step]
    except (KeyError, IndexError, TypeError):
        raise EditRefused(f"There is no `{_spoken(path)}` here to edit.") from None
    return value


def _spoken(path: Path_) -> str:
    return " / ".join(str(step + 1) if isinstance(step, int) else step for step in path)


def _start(node: yaml.Node) -> int:
    return int(node.start_mark.index)


def _end(node: yaml.Node, text: str) -> int:
    """Return where a node's last letter ends; the parser ends a block only where the next thing starts."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return _end(last[1] if isinstance(last, tuple) else last, text)
    end = int(node.end_mark.index)
    if isinstance(node, yaml.ScalarNode) and node.style in BLOCK_STYLES:
        end = _start(node) + len(text[_start(node) : end].rstrip())
    return end


def _line_at(text: str, start: int, end: int) -> tuple[int, int, int]:
    """Return where the lines of a piece start, where they end, and where the next line starts."""
    first = max((found.end() for found in LINE_BREAK.finditer(text, 0, start)), default=0)
    found = LINE_BREAK.search(text, end)
    return (first, found.start(), found.end()) if found else (first, len(text), len(text))


def _line_end(text: str) -> str:
    found = LINE_BREAK.search(text)
    return found[0] if found else "\n"


def _after(text: str, end: int, line: str, holder: _Spot) -> str:
    """Put something new after what ends at ``end``: on the next line, or after a comma inside brackets."""
    if holder.opens_brackets:
        return f"{text[:end]}, {line}{text[end:]}"
    _, stop, _ = _line_at(text, end, end)
    return text[:stop] + _line_end(text) + " " * holder.node.start_mark.column + line + text[stop:]


def _with_item(text: str, spot: _Spot, value: Any, first: bool) -> str:
    items, inline = spot.node.value, spot.opens_brackets
    word = written(value) if inline else f"- {written(value, inline=False)}"
    if not items:
        start = _start(spot.node) + 1
        return text[:start] + word + text[start:]
    if not first:
        return _after(text, _end(items[-1], text), word, spot)
    start = _start(items[0]) if inline else _start(spot.node)
    gap = ", " if inline else _line_end(text) + " " * spot.node.start_mark.column
    return text[:start] + word + gap + text[start:]


def _with_comma(text: str, start: int, end: int) -> tuple[int, int]:
    """Widen a piece inside brackets by the comma that goes with it: the next one, else the one before."""
    if found := COMMA_AFTER.match(text, end):
        return start, found.end()
    before = text[:start].rstrip()
    return (len(before) - 1 if before.endswith(",") else start), end


def _without(text: str, start: int, end: int) -> str:
    """Cut a piece out, with its whole line where nothing else stands there."""
    first, stop, following = _line_at(text, start, end)
    beside, behind = text[first:start].strip(), text[end:stop].strip()
    if beside or (behind and not behind.startswith("#")):
        return text[:start] + text[end:]
    if behind:
        return text[:start] + text[end:].lstrip(" \t")
    if stop == following:  # the last line, without an end: it stays so for the line that is now the last
        return text[:first].removesuffix(_line_end(text))
    return text[:first] + text[following:]


def _holds_comment(node: yaml.Node, text: str) -> bool:
    """Tell whether a comment stands between the words of a node."""
    position = _start(node)
    for leaf in _leaves(node):
        if "#" in text[position : _start(leaf)] or leaf.style in BLOCK_STYLES:
            return True
        position = _end(leaf, text)
    return "#" in text[position : _end(node, text)]


def _leaves(node: yaml.Node) -> Iterator[yaml.ScalarNode]:
    if isinstance(node, yaml.ScalarNode):
        yield node
        return
    for below in node.value:
        for each in below if isinstance(below, tuple) else (below,):
            yield from _leaves(each)
