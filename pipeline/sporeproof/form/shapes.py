"""The shapes of entries and their companions, as ``schema/entry.yaml`` and ``companions.yaml`` give them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

Path_ = tuple[str | int, ...]


@dataclass(slots=True)
class Shape:
    """What may stand in one place. The words of ``kind`` and ``hint`` are explained at the top of ``entry.yaml``."""

    kind: str
    says: str = ""
    required: bool = False
    hint: bool = False
    pattern: str = ""
    looks_like: str = ""
    vocabulary: str = ""
    key_pattern: str = ""
    key_looks_like: str = ""
    key_vocabulary: str = ""
    of: Shape | None = None
    keys: dict[str, Shape] = field(default_factory=dict)
    options: tuple[Shape, ...] = ()
    stages: tuple[str, ...] = ()

    @property
    def recall(self) -> Shape:
        """The long form of a source: what is said from memory of a source that was not at hand."""
        text = Shape("text", required=True)
        return Shape("keys", keys={"source": text, "recalls": text})

    @property
    def sourced(self) -> Shape:
        """The long form of a character's value: the value, and where it comes from."""
        plain = Shape("value", required=True, stages=self.stages)
        return Shape("keys", keys={"is": plain, "source": Shape("sources", required=True)})


def shape_of(raw: dict[str, Any], stages: tuple[str, ...]) -> Shape:
    """Return the shape that a block of the schema describes."""
    given = dict(raw)
    kind = given.pop("shape")
    of = given.pop("of", None)
    keys = {key: shape_of(below, stages) for key, below in given.pop("keys", {}).items()}
    options = tuple(shape_of(option, stages) for option in given.pop("options", []))
    below = shape_of(of, stages) if of else None
    return Shape(kind=kind, of=below, keys=keys, options=options, stages=stages, **given)


def words(shape: Shape, value: Any, path: Path_ = ()) -> Iterator[tuple[Path_, str, str, bool]]:
    """Yield path, word, vocabulary, and whether it is a key, of each word that a vocabulary must hold."""
    if isinstance(value, dict):
        for key, below in value.items():
            if shape.key_vocabulary:
                yield (*path, key), key, shape.key_vocabulary, True
            if inner := shape.keys.get(key) or shape.of or _mapping_option(shape, key):
                yield from words(inner, below, (*path, key))
    elif isinstance(value, list) and shape.of:
        for index, item in enumerate(value):
            yield from words(shape.of, item, (*path, index))
    elif shape.vocabulary and isinstance(value, str):
        yield path, value, shape.vocabulary, False


def _mapping_option(shape: Shape, key: str) -> Shape | None:
    return next((option.keys[key] for option in shape.options if key in option.keys), None)
