"""Whether the files of a release are those that its checksums were made for: all of them, and nothing beside them."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping

from sporeproof.findings import plain
from sporeproof.release.content import Files

SUMS = "SHA256SUMS"
# It signs the checksums, so they cannot name it.
SIGNATURE = "SHA256SUMS.sig"
LINE = re.compile(r"([0-9a-f]{64})  (.+)")


def digest(data: bytes) -> str:
    """Return the SHA-256 of some bytes in hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def sums_of(sums: Mapping[str, str]) -> bytes:
    """Return the checksums of some files, by path, in the form that ``sha256sum --check`` reads."""
    return "".join(f"{sums[path]}  {path}\n" for path in sorted(sums)).encode()


def digests(files: Files) -> dict[str, str]:
    """Return the true checksum of each file."""
    return {path: digest(data) for path, data in files.items()}


def untrue(files: Files, sums: Mapping[str, str]) -> Iterator[str]:
    """Yield a sentence for each file that is missing, is another one, or is there without a checksum.

    ``sums`` are the true checksums of the files.
    """
    if SUMS not in files:
        yield f"{SUMS} is missing, so that nothing in the package can be trusted."
        return
    true = {path: sum_ for path, sum_ in sums.items() if path not in {SUMS, SIGNATURE}}
    if files[SUMS] == sums_of(true):
        return
    named: dict[str, str] = {}
    for number, line in enumerate(files[SUMS].decode("utf-8", "replace").splitlines(), 1):
        found = LINE.fullmatch(line)
        if found is None:
            yield f"{SUMS}, line {number}: {plain(line)[:100]} is not a checksum and a path."
        elif found[2] in named:
            yield f"{SUMS}, line {number}: {plain(found[2])} is named twice."
        else:
            named[found[2]] = found[1]
    yield from _compared(named, true)


def _compared(named: dict[str, str], true: dict[str, str]) -> Iterator[str]:
    told = False
    for path in sorted(named.keys() | true.keys()):
        if path not in true:
            yield f"{plain(path)} is missing, and {SUMS} names it."
        elif path not in named:
            yield f"{plain(path)} is not named in {SUMS}: nobody vouches for it."
        elif named[path] != true[path]:
            yield f"{plain(path)} is not the file that {SUMS} was made for."
        else:
            continue
        told = True
    if not told:
        yield f"{SUMS} is not written as a release writes it."
