"""A Python package (a wheel) for programmers: every taxon by any of its names, never a verdict without its rest."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from sporeproof import __version__
from sporeproof.release.content import Content, Files
from sporeproof.release.formats.wheel_parts import described, source
from sporeproof.release.formats.wheel_parts.held import other_heads, untrue
from sporeproof.release.formats.wheel_parts.records import records
from sporeproof.release.formats.zipped import packed, unpacked
from sporeproof.release.parting import other_json

FOLDER = "packages"
RECORDS = f"{source.PACKAGE}/records"
MOST_TOLD = 20


def to_wheel(content: Content) -> Files:
    """Return the wheel; the code in it is that of :mod:`sporeproof.release.packages.python` as it stands."""
    return {path_of(content): packed(members(content))}


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each thing that a received wheel lacks, adds or says otherwise; twenty at most."""
    path = path_of(content)
    yield from (
        f"{each} is no package of this release; do not install it."
        for each in files
        if each.endswith(".whl") and each != path
    )
    if path not in files:
        yield f"{path} is missing."
        return
    yield from (f"{path}: {each}." for each in islice(_amiss(files[path], content), MOST_TOLD))


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [path_of(content)]


def path_of(content: Content) -> str:
    """Return the path of the wheel in a release."""
    return f"{FOLDER}/{_stem(content)}-{described.TAG}.whl"


def members(content: Content) -> Files:
    """Return the files in the wheel, by name; those that describe it stand at the end, RECORD last (PEP 427)."""
    about = f"{_stem(content)}.dist-info"
    data = {f"{RECORDS}/{name}": each for name, each in records(content).items()}
    described_by = {
        f"{about}/licenses/{source.LICENCE}": source.licence(),
        f"{about}/METADATA": described.metadata(content),
        f"{about}/WHEEL": described.wheel(content),
    }
    held = {**source.code(), **data, **described_by}
    return {**held, f"{about}/RECORD": described.record(held, f"{about}/RECORD")}


def _stem(content: Content) -> str:
    return f"{described.normalised(content.words['name'])}-{content.version}"


def _amiss(data: bytes, content: Content) -> Iterator[str]:
    wanted = members(content)
    found, odd = unpacked(data, wanted)
    yield from odd
    *_, record = wanted
    foreign = [name for name in source.code() if name in found and found[name] != wanted[name]]
    yield from _code(foreign, content)
    for name in wanted:
        if name not in found or found[name] == wanted[name] or name in foreign or name == record:
            continue
        told = other_json if name.startswith(RECORDS) else other_heads
        yield f"{name} {told(found[name], wanted[name])}"
    if record in found and found[record] != described.record(_without(found, record), record):
        yield from (f"{record} {each}" for each in untrue(found[record], found, record))


def _without(found: Files, name: str) -> Files:
    return {each: data for each, data in found.items() if each != name}


def _code(foreign: list[str], content: Content) -> Iterator[str]:
    """Yield what is said of code that is not ours. Code that nobody here knows is never passed over in silence."""
    made_by = content.provenance["tool"]["version"]
    if made_by == __version__:
        yield from (f"{name} is not the code that sporeproof {made_by} writes; do not run it" for name in foreign)
    elif foreign:
        yield (
            f"its code differs from that of this sporeproof ({__version__}), and the release says that {made_by} wrote "
            f"it: verify it with sporeproof {made_by} before you run it"
        )
