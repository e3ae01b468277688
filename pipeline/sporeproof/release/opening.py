"""Opens a received release, a folder or an archive of one, into memory; nothing is ever unpacked to the disk.

All that is listed is looked at before any file is opened: whoever made the package may have meant harm.
"""

from __future__ import annotations

import gzip
import os
import stat
import unicodedata
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from sporeproof.findings import Trouble, plain
from sporeproof.names.download.archives import is_inside
from sporeproof.release.content import Files
from sporeproof.release.formats.zipped import TORN
from sporeproof.release.package import DESCRIPTOR
from sporeproof.release.refusals import ReleaseError
from sporeproof.release.tarred import Tarred
from sporeproof.release.zipped_listing import Listed, sound_listing
from sporeproof.text.files import fetch

# A file of JSON for each taxon, and a few dozen for all of them.
MOST_FILES = 200_000
MOST_BYTES = 2 * 1024 * 1024 * 1024
LONGEST_PATH = 240
# Tables pack to about a tenth. What unpacks to much more than that was made to fill memory; small files may.
MOST_RATIO = 200
SMALL = 1024 * 1024
ZIP, GZIP = b"PK\x03\x04", b"\x1f\x8b"
ANEW = "Take the package anew from where it is published."


def open_release(path: Path) -> Files:
    """Return the files of a release by their path in it.

    ``path`` is its folder, its ``datapackage.json``, or a ZIP or gzipped tar archive that holds one release. Raises
    :class:`ReleaseError` where nothing is there, or where any part of it is not what a release can be.
    """
    place = path.parent if path.name == DESCRIPTOR else path
    try:
        if place.is_dir():
            return _rooted(_folder(place), place)
        if not place.is_file():
            raise ReleaseError(f"{place}: there is no such folder or archive. Give the folder that holds {DESCRIPTOR}.")
        with place.open("rb") as file:
            head = file.read(len(ZIP))
        if head == ZIP:
            return _rooted(_zip(place), place)
        if head.startswith(GZIP):
            return _rooted(_tar(place), place)
    except TORN as error:
        said = plain(str(error).strip() or type(error).__name__)[:200]
        raise ReleaseError(f"{place} cannot be read to its end: {said}. {ANEW}") from error
    raise ReleaseError(
        f"{place} is no release: give its folder, its {DESCRIPTOR}, or a ZIP or .tar.gz archive of the folder."
    )


def _folder(folder: Path) -> Files:
    sizes = dict(_listed(folder))
    _meet(sizes, folder)
    files: Files = {}
    for path, size in sizes.items():
        found = fetch(folder / path, folder, size)
        if isinstance(found, Trouble):
            raise ReleaseError(f"{folder / path} cannot be read: {' '.join(found.words)}. {ANEW}")
        if len(found) != size:
            raise ReleaseError(f"{folder / path} changed while it was read. Verify it again.")
        files[path] = found
    return files


def _listed(folder: Path) -> Iterator[tuple[str, int]]:
    """Yield path and size of each file below a folder; a link is never followed."""
    waiting, seen = [folder], 0
    while waiting:
        with os.scandir(waiting.pop()) as found:
            for each in found:
                seen += 1
                if seen > 2 * MOST_FILES:
                    raise _too_many(folder)
                mode = each.stat(follow_symlinks=False)
                if stat.S_ISDIR(mode.st_mode):
                    waiting.append(Path(each.path))
                    continue
                if stat.S_ISLNK(mode.st_mode):
                    raise ReleaseError(f"{plain(each.path)} is a link, and links are not followed. {ANEW}")
                if not stat.S_ISREG(mode.st_mode):
                    raise ReleaseError(f"{plain(each.path)} is not a plain file. {ANEW}")
                yield Path(each.path).relative_to(folder).as_posix(), mode.st_size


def _zip(place: Path) -> Files:
    with place.open("rb") as file, zipfile.ZipFile(Listed(file)) as archive:
        members = sound_listing(archive, place)
        sizes = {each.filename: each.file_size for each in members}
        _meet(sizes, place, [each.orig_filename for each in members])
        for each in members:
            _meet_ratio(each.file_size, each.compress_size, f"{place}: {plain(each.filename)}")
        return {each.filename: _unzipped(archive, each, place) for each in members}


def _unzipped(archive: zipfile.ZipFile, member: zipfile.ZipInfo, place: Path) -> bytes:
    with archive.open(member) as stream:
        data = stream.read(member.file_size + 1)
    if len(data) != member.file_size:
        raise ReleaseError(f"{place}: {plain(member.filename)} is not as large as the archive says. {ANEW}")
    return data


def _tar(place: Path) -> Files:
    """Go through the archive twice: once past the names and sizes of all that is in it, then through the bytes."""
    packed = place.stat().st_size
    with gzip.open(place) as stream:
        heads = [(name, size) for name, size, _ in Tarred(stream, place, packed, _meet_ratio, MOST_FILES)]
    _meet(dict(heads), place, [name for name, _ in heads])
    with gzip.open(place) as stream:
        return {name: data for name, _, data in Tarred(stream, place, packed, _meet_ratio, MOST_FILES, keep=True)}


def _meet_ratio(size: int, packed: int, where: str) -> None:
    if size > MOST_BYTES or (size > SMALL and size > MOST_RATIO * max(packed, 1)):
        raise ReleaseError(f"{where} would unpack to far more than a release holds, to fill the memory. {ANEW}")


def _meet(sizes: Mapping[str, int], place: Path, listed: list[str] | None = None) -> None:
    """Raise where the paths of a package, or their sizes, are not those of any release."""
    names = list(sizes) if listed is None else listed
    if len(names) > MOST_FILES:
        raise _too_many(place)
    if sum(sizes.values()) > MOST_BYTES:
        raise ReleaseError(f"{place} holds more than {MOST_BYTES >> 30} GiB, as no release does. {ANEW}")
    seen: dict[str, str] = {}
    for name in names:
        if not is_plain_path(name):
            raise ReleaseError(
                f"{place} holds a file called {plain(name)[:LONGEST_PATH]!r}, a path that no release has: it may lead "
                f"out of the package. Nothing was unpacked. {ANEW}"
            )
        other = seen.setdefault(_folded(name), name)
        if other is not name:
            alike = "twice" if other == name else f"and {plain(other)}, one file on some systems"
            raise ReleaseError(f"{place} holds {plain(name)} {alike}: it cannot be known which is meant. {ANEW}")
    folders = {folder: name for name in names for folder in _folders(_folded(name))}
    if both := sorted(folders.keys() & seen.keys()):
        raise ReleaseError(f"{place} holds {plain(both[0])} as a file and as a folder. {ANEW}")


def _folders(path: str) -> Iterator[str]:
    steps = path.split("/")
    return ("/".join(steps[:end]) for end in range(1, len(steps)))


def _folded(name: str) -> str:
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())


def is_plain_path(path: str) -> bool:
    """Tell whether a path stays below its folder on any system, and every step of it is a name there."""
    if not is_inside(path) or ":" in path or not path.isprintable() or len(path) > LONGEST_PATH:
        return False
    return all(each not in {"", ".", "~"} and not each.endswith((".", " ")) for each in path.split("/"))


def _too_many(place: Path) -> ReleaseError:
    return ReleaseError(f"{place} holds more than {MOST_FILES:,} files, as no release does. {ANEW}")


def _rooted(files: Files, place: Path) -> Files:
    """Return the files by their path in the release, which may stand in one folder of its archive."""
    if DESCRIPTOR in files:
        return files
    tops = {path.partition("/")[0] for path in files}
    top = f"{tops.pop()}/" if len(tops) == 1 else ""
    if not top or place.is_dir() or f"{top}{DESCRIPTOR}" not in files:
        raise ReleaseError(f"{place} holds no {DESCRIPTOR}, so that it is no release, or not just one. {ANEW}")
    return {path.removeprefix(top): data for path, data in files.items()}
