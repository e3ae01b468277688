"""An npm package for programmers: every taxon by any of its names, never a verdict without its rest."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from sporeproof import __version__
from sporeproof.release.carried import carried
from sporeproof.release.content import Content, Files
from sporeproof.release.formats.npm_parts import described, source
from sporeproof.release.formats.npm_parts.tarball import packed, unpacked
from sporeproof.release.parting import other_json

FOLDER = "packages"
INSIDE = "package"
ENDING = ".tgz"
RECORDS = f"{INSIDE}/records"
MANIFEST = f"{INSIDE}/package.json"
PAGE = f"{INSIDE}/{source.PAGE}"
MOST_TOLD = 20


def to_npm(content: Content) -> Files:
    """Return the tarball; the code in it is that of ``release/packages/npm`` as it stands."""
    return {path_of(content): packed(members(content))}


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each thing that a received tarball lacks, adds or says otherwise; twenty at most."""
    path = path_of(content)
    yield from islice(_amiss(path, files, content), MOST_TOLD)


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [path_of(content)]


def path_of(content: Content) -> str:
    """Return the path of the tarball in a release, named as ``npm pack`` names it."""
    return f"{FOLDER}/{content.words['name']}-{content.version}{ENDING}"


def members(content: Content) -> Files:
    """Return the files in the tarball, by name: what describes it, its code, and the data."""
    return {
        MANIFEST: described.package_json(content),
        PAGE: described.page(content),
        **{f"{INSIDE}/{name}": data for name, data in source.code().items()},
        **{f"{RECORDS}/{name}": data for name, data in carried(content).items()},
    }


def _amiss(path: str, files: Files, content: Content) -> Iterator[str]:
    foreign = (each for each in sorted(files) if each.endswith(ENDING) and each != path)
    yield from (f"{each} is no package of this release; do not install it." for each in foreign)
    if path not in files:
        yield f"{path} is missing."
        return
    yield from (f"{path}: {each}." for each in _inside(files[path], content))


def _inside(data: bytes, content: Content) -> Iterator[str]:
    wanted = members(content)
    others, odd = unpacked(data, wanted)
    yield from odd
    for name in others:
        if name == MANIFEST or name.startswith(RECORDS):
            yield f"{name} {other_json(others[name], wanted[name])}"
    if PAGE in others:
        yield f"{PAGE} holds another page than a release does"
    yield from _code([name for name in others if name.removeprefix(f"{INSIDE}/") in source.CODE], content)


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
