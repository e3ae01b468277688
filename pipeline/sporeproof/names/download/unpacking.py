"""Takes the bytes of a file that a stranger may have made: block by block, bounded, and to a place of our choosing."""

from __future__ import annotations

import errno
import hashlib
import os
import tempfile
import zlib
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

from sporeproof.findings import plain

# Blocks that stay in the cache of a core: measured, 64 KiB and 1 MiB are slower.
BLOCK = 256 * 1024
# Text of names packs five to ten times; a bomb packs a thousand times. Small files may be as odd as they like.
HARMLESS_BYTES = 1024 * 1024 * 1024
MOST_RATIO = 200
LONGEST_EXCERPT = 80
GZIP = b"\x1f\x8b"

Progress = Callable[[str, int, int], None]


class Unopened(Exception):
    """The file cannot be used; the message says why in a sentence or two, and what to do."""


def excerpt(text: str) -> str:
    """Return the beginning of a stranger's text, safe to show in a message."""
    shown = plain(text.strip())
    return shown if len(shown) <= LONGEST_EXCERPT else shown[:LONGEST_EXCERPT] + " ..."


def silent(step: str, done: int, total: int) -> None:
    """Show no progress."""


@dataclass(slots=True)
class Given:
    """A file as it was given: every byte that is taken from it also goes into its checksum."""

    file: BinaryIO
    size: int
    taken: int = 0
    digest: Any = field(default_factory=hashlib.sha256)

    def take(self, most: int = BLOCK) -> bytes:
        """Return the next bytes, none at the end; raises :class:`Unopened` where there are more than there were."""
        block = self.file.read(most)
        self.digest.update(block)
        self.taken += len(block)
        if self.taken > self.size:
            raise Unopened("it grows while it is read. Wait until the download is finished.")
        return block

    def blocks(self) -> Iterator[bytes]:
        """Yield the file as it stands."""
        while block := self.take():
            yield block

    def checksum(self) -> str:
        """Return the SHA-256 of the whole file in hex; what was not read yet is read for it."""
        self.file.seek(self.taken)
        for _ in self.blocks():
            pass
        if self.taken != self.size:
            raise Unopened("it was cut while it was read. Open it again when nothing else writes to it.")
        return str(self.digest.hexdigest())


def gunzipped(given: Given) -> Iterator[bytes]:
    """Yield what a gzip file holds, all its members one after another; a cut or damaged one is refused."""
    packed, members = b"", 0
    while packed or (packed := given.take()):
        unpacker = zlib.decompressobj(zlib.MAX_WBITS | 16)
        while not unpacker.eof:
            if not packed and not (packed := given.take()):
                raise Unopened("it ends in the middle: the download was cut. Download it again.")
            block = _inflated(unpacker, packed, members)
            packed = unpacker.unused_data if unpacker.eof else unpacker.unconsumed_tail
            if block:
                yield block
        members += 1


def _inflated(unpacker: Any, packed: bytes, members: int) -> bytes:
    try:
        return bytes(unpacker.decompress(packed, BLOCK))
    except zlib.error as error:
        if members and "header" in str(error):
            raise Unopened(
                "after the end of the packed text follow bytes that do not belong to it. Download it again."
            ) from None
        raise Unopened("its packed bytes are damaged: they do not fit their checksum. Download it again.") from None


def ahead(blocks: Iterator[bytes]) -> Generator[bytes]:
    """Yield the blocks while a thread takes the next one: unpacking and looking go on side by side."""
    with ThreadPoolExecutor(1, "unpacking") as worker:
        coming = worker.submit(next, blocks, b"")
        while block := coming.result():
            coming = worker.submit(next, blocks, b"")
            yield block


def bounded(blocks: Iterable[bytes], packed: Callable[[], int], most_bytes: int) -> Iterator[bytes]:
    """Yield the blocks; raises :class:`Unopened` once they are too many, or too many for what was packed."""
    total = 0
    for block in blocks:
        total += len(block)
        if total > most_bytes:
            raise too_large(most_bytes)
        if total > HARMLESS_BYTES and total > MOST_RATIO * packed():
            raise Unopened(
                f"it unpacks to more than {MOST_RATIO} times its size, as no table of names does: it may have been "
                "made to fill the disk. Take the file from its publisher."
            )
        yield block


def too_large(most_bytes: int) -> Unopened:
    """Return what is said of a file that unpacks to too much."""
    return Unopened(
        f"it holds more than {amount(most_bytes)}, the most that is unpacked here. Take a smaller download, "
        "such as fungi alone."
    )


def amount(count: int) -> str:
    """Return a number of bytes as people say it."""
    for step, unit in ((30, "GiB"), (20, "MiB"), (10, "KiB")):
        if count >= 1 << step:
            return f"{count / (1 << step):.4g} {unit}"
    return f"{count} bytes"


def room_for(size: int, folder: Path) -> None:
    """Raise :class:`Unopened` where the disk cannot take so many bytes."""
    import shutil

    free = shutil.disk_usage(folder).free
    if size > free:
        raise Unopened(
            f"unpacked it takes {amount(size)}, and the disk of {folder} has {amount(free)} left. Make room there, "
            "or have temporary files put on another disk (TMPDIR)."
        )


def copied(blocks: Iterable[bytes], folder: Path) -> Path:
    """Write blocks into a new file in ``folder`` and return it; whatever ends this early, no part of it stays."""
    handle, aside = tempfile.mkstemp(prefix="unpacked-", suffix=".txt", dir=folder)
    try:
        with os.fdopen(handle, "wb", buffering=0) as file:
            for block in blocks:
                _put(file, block)
    except OSError as error:
        Path(aside).unlink(missing_ok=True)
        if error.errno in {errno.ENOSPC, errno.EDQUOT}:
            raise Unopened(
                f"the disk of {folder} is full, so it could not be unpacked; nothing of it was kept. Make room there, "
                "or have temporary files put on another disk (TMPDIR)."
            ) from None
        raise
    except BaseException:
        Path(aside).unlink(missing_ok=True)
        raise
    return Path(aside)


def _put(file: Any, block: bytes) -> None:
    """Write all of a block; a disk that fills up may take a part without a complaint."""
    rest = memoryview(block)
    while rest:
        rest = rest[file.write(rest) :]
