"""Reads the files of this package, each only when it is asked for, and refuses what is broken."""

from __future__ import annotations

import json
import pkgutil
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from . import _shapes

if TYPE_CHECKING:
    from collections.abc import Iterator

    Record = dict[str, Any]

SCHEMA = 1
NAMES = "names.json"
# Records of that many taxa are kept; one of them takes about 200 kB of memory.
KEPT = 512


class BrokenData(Exception):
    """A file of this package is missing, damaged or newer than its code. Nothing may be concluded from it."""

    def __init__(self, file: str, said: str) -> None:
        super().__init__(
            f"{file} of sporeproof_data cannot be relied on: {said}. "
            "Nothing is said of any fungus by this, least of all that it can be eaten. Install the package again."
        )


@cache
def index() -> Record:
    """Return what is known of the version as a whole; to be read only.

    Raises: BrokenData.
    """
    found: Record = _json("index.json", _shapes.INDEX)
    if any(_shapes.amiss(list(found["retired"].values()), [_shapes.ENDED])):
        raise BrokenData("index.json", "what it says of ids that have ended cannot be read")
    if found["schema"] != SCHEMA:
        raise BrokenData("index.json", f"it is written in form {found['schema']}, and this code reads form {SCHEMA}")
    return found


@lru_cache(maxsize=KEPT)
def record(id: str) -> Record:
    """Return all that is recorded of a taxon; to be read only. ``id`` stands in the index.

    Raises: BrokenData.
    """
    file = f"taxa/{id}.json"
    found: Record = _json(file, _shapes.TAXON)
    about = (found["schema"], found["release"], found["id"])
    if about != (SCHEMA, index()["version"], id):
        raise BrokenData(file, f"it is about {about}, not about {id} in this version")
    if found["review"]["reviewed"] != (id in index()["reviewed"]):
        raise BrokenData(file, "it and the index disagree on whether it was reviewed")
    unknown = set(_verdicts(found)) - set(index()["verdicts"])
    if unknown:
        raise BrokenData(file, f"it holds a verdict that this version does not know: {', '.join(sorted(unknown))}")
    return found


def meanings(word: str) -> list[tuple[str, str]]:
    """Return ids and roles of the taxa that a name may mean, the name as the index spells it; none for no name.

    Raises: BrokenData.
    """
    key = json.dumps(word, ensure_ascii=False).encode("utf-8", "surrogatepass")
    _, there, after = _names().partition(b"\n" + key + b":")
    if not there:
        return []
    try:
        return [(str(id), str(role)) for id, role in json.loads(after.partition(b"\n")[0].rstrip(b","))]
    except (TypeError, ValueError, RecursionError) as error:
        raise BrokenData(NAMES, f"what it says of {word!r} cannot be read") from error


@cache
def _names() -> bytes:
    """Return all names and what each may mean: JSON with a line for each, so that the others need not be read."""
    lines = _bytes(NAMES)
    if not (lines.startswith(b"{\n") and lines.endswith(b"\n}\n")):
        raise BrokenData(NAMES, "it is not whole")
    return lines


@cache
def catalogue() -> Record:
    """Return the characters and the sources by id; to be read only. Raises: BrokenData."""
    found: Record = _json("catalogue.json", {"characters": dict, "sources": dict})
    return found


@cache
def notices() -> list[Record]:
    """Return the notices of this version and of those before it; to be read only. Raises: BrokenData."""
    found: list[Record] = _json("notices.json", [_shapes.NOTICE])
    return found


def danger(verdict: str) -> int:
    """Return how dangerous a verdict is as a place in a row, nought for the most dangerous one."""
    order: list[str] = index()["verdicts"]
    return order.index(verdict)


def _verdicts(found: Record) -> Iterator[str]:
    """Yield every verdict that a record holds, of its taxon and of others."""
    edibility = found["edibility"]
    yield edibility["verdict"]["id"]
    yield from (each["verdict"] for each in edibility["opinions"])
    yield from (each["with"]["verdict"] for each in (*edibility["confusions"], *edibility["answered"]))
    yield from (each["with"]["verdict"] for level in found["proof"] for each in level["not_excluded"])


def _json(file: str, shape: Any) -> Any:
    """Return the content of a file that has a shape."""
    try:
        found = json.loads(_bytes(file))
    except (ValueError, RecursionError) as error:
        raise BrokenData(file, f"it cannot be read ({error})") from error
    lacking = next(_shapes.amiss(found, shape), None)
    if lacking is not None:
        raise BrokenData(file, f"{lacking or 'the whole'} is missing or is not what it should be")
    return found


def _bytes(file: str) -> bytes:
    try:
        return pkgutil.get_data(__package__, f"records/{file}") or b""
    except OSError as error:
        raise BrokenData(file, f"it cannot be read ({error})") from error
