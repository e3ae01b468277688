"""What a file of a received wheel says otherwise than it should, in words. Nothing of it is run or imported."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from email.parser import BytesHeaderParser

from sporeproof.findings import plain
from sporeproof.release.formats.wheel_parts.described import recorded

LONGEST = 60


def other_heads(found: bytes, wanted: bytes) -> str:
    """Return which header two texts in the form of electronic mail do not have alike, or that it is the page below."""
    there, ours = (BytesHeaderParser().parsebytes(text) for text in (found, wanted))
    for name in dict.fromkeys([*ours.keys(), *there.keys()]):
        one, other = there.get_all(name, []), ours.get_all(name, [])
        if list(map(str, one)) != list(map(str, other)):
            return f"says {_shown(name)} {_shown(one)} where a release says {_shown(other)}"
    return "holds another page than a release does"


def untrue(record: bytes, members: Mapping[str, bytes], path: str) -> Iterator[str]:
    """Yield which files RECORD has untrue, lacks or adds; ``members`` are the files that stand there."""
    lines = {line.partition(",")[0]: line for line in record.decode("utf-8", "replace").splitlines()}
    for name, data in members.items():
        if lines.pop(name, "") != (f"{name},," if name == path else recorded(name, data)):
            yield f"does not tell the truth of {name}"
    yield from (f"lists {_shown(name)}, which does not belong there" for name in lines)


def _shown(value: object) -> str:
    text = plain(str(value))
    return f"`{text[:LONGEST]}`" if text else "nothing"
