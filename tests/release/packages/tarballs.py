"""The npm package of a release, and tarballs spoiled in one way each, as a broken disk or an ill-meaning person can."""

from __future__ import annotations

import gzip
import io
import tarfile
from collections.abc import Callable, Iterable
from pathlib import Path

from sporeproof.release.content import Content
from sporeproof.release.formats.to_npm import path_of, to_npm

Members = dict[str, bytes]
INDEX, TAXON, CODE = "package/records/index.json", "package/records/taxa/F9002.json", "package/index.cjs"


def tarball_of(content: Content) -> bytes:
    return to_npm(content)[path_of(content)]


def members(data: bytes) -> Members:
    """Return the files in a tarball by name, as Python's tarfile reads them."""
    with tarfile.open(fileobj=io.BytesIO(data), mode="r:gz") as archive:
        return {each.name: archive.extractfile(each).read() for each in archive}


def placed(content: Content, folder: Path) -> Path:
    """Put the package where Node looks for it, below a folder, without npm; return the folder of the package."""
    package = folder / "node_modules" / content.words["name"]
    for name, data in members(tarball_of(content)).items():
        path = package / name.removeprefix("package/")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return package


def plain_file(name: str, size: int) -> tarfile.TarInfo:
    made = tarfile.TarInfo(name)
    made.size, made.mtime, made.mode = size, 499_162_500, 0o644
    return made


def tarred(files: Iterable[tuple[tarfile.TarInfo, bytes]], form: int = tarfile.USTAR_FORMAT) -> bytes:
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w", format=form) as archive:
        for head, content in files:
            archive.addfile(head, io.BytesIO(content))
    return gzipped(out.getvalue())


def gzipped(data: bytes) -> bytes:
    out = io.BytesIO()
    with gzip.GzipFile("", "wb", 6, out, mtime=0) as stream:
        stream.write(data)
    return out.getvalue()


def unzipped(data: bytes) -> bytes:
    return gzip.decompress(data)


def again(files: Members) -> bytes:
    return tarred((plain_file(name, len(data)), data) for name, data in files.items())


def changed(data: bytes, name: str, old: bytes, new: bytes) -> bytes:
    files = members(data)
    assert old in files[name]
    return again(files | {name: files[name].replace(old, new)})


def without(data: bytes, name: str) -> bytes:
    files = members(data)
    del files[name]
    return again(files)


def beside(data: bytes, name: str, content: bytes = b"x") -> bytes:
    return again(members(data) | {name: content})


def twice(data: bytes, name: str) -> bytes:
    files = members(data)
    pairs = [*files.items(), (name, b"another")]
    return tarred((plain_file(each, len(content)), content) for each, content in pairs)


def with_head(data: bytes, name: str, change: Callable[[tarfile.TarInfo], object]) -> bytes:
    """Return the tarball with what stands before one file changed."""
    pairs = []
    for each, content in members(data).items():
        head = plain_file(each, len(content))
        if each == name:
            change(head)
        pairs.append((head, content if head.isreg() else b""))
    return tarred(pairs)


def link(to: str, kind: bytes) -> Callable[[tarfile.TarInfo], None]:
    def change(head: tarfile.TarInfo) -> None:
        head.type, head.linkname, head.size = kind, to, 0

    return change


def attribute(**words: object) -> Callable[[tarfile.TarInfo], None]:
    def change(head: tarfile.TarInfo) -> None:
        for name, value in words.items():
            setattr(head, name, value)

    return change


def in_padding(data: bytes) -> bytes:
    """Return the tarball with bytes between the first file and the second, which no reader shows."""
    plain = bytearray(unzipped(data))
    size = int(plain[124:135], 8)
    plain[512 + size] = 1
    return gzipped(bytes(plain))


def damaged(data: bytes) -> bytes:
    """Return the tarball with one bit turned in the checksum at the end of gzip (RFC 1952, 2.3.1)."""
    spoilt = bytearray(data)
    spoilt[-8] ^= 1
    return bytes(spoilt)


HOSTILE: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "another file": (lambda data: beside(data, "package/install.js"), "`package/install.js`, which does not belong"),
    "a path that leads out": (lambda data: beside(data, "package/../../evil.js"), "evil.js"),
    "an absolute path": (lambda data: beside(data, "/etc/evil"), "`/etc/evil`"),
    "a name that turns the writing": (lambda data: beside(data, "package/\u202ecod.js"), "\\u{202e}"),
    "the same name twice": (lambda data: twice(data, CODE), "package/index.cjs more than once"),
    "a symbolic link": (lambda data: with_head(data, CODE, link("/etc/passwd", tarfile.SYMTYPE)), "no plain file"),
    "a hard link": (lambda data: with_head(data, CODE, link("package/LICENSE", tarfile.LNKTYPE)), "no plain file"),
    "a device": (lambda data: with_head(data, CODE, link("", tarfile.CHRTYPE)), "no plain file"),
    "a folder": (lambda data: with_head(data, CODE, link("", tarfile.DIRTYPE)), "no plain file"),
    "the right to run": (lambda data: with_head(data, CODE, attribute(mode=0o755)), "more rights"),
    "an owner": (lambda data: with_head(data, CODE, attribute(uname="root")), "no plain file"),
    "another day": (lambda data: with_head(data, CODE, attribute(mtime=1)), "no plain file"),
    "a later form of tar": (
        lambda data: tarred([(plain_file("a" * 120, 1), b"x")], tarfile.PAX_FORMAT),
        "no plain file",
    ),
    "a long name in GNU's way": (
        lambda data: tarred([(plain_file("a" * 120, 1), b"x")], tarfile.GNU_FORMAT),
        "no plain file",
    ),
    "bytes between files": (in_padding, "hidden behind `package/package.json`"),
    "bytes behind the last file": (lambda data: gzipped(unzipped(data) + b"hidden"), "hidden behind its last file"),
    "many zeros behind it": (lambda data: gzipped(unzipped(data) + bytes(64 << 20)), "hidden behind its last file"),
    "bytes behind the end": (lambda data: data + b"PK", "hidden behind its end"),
    "another gzip behind the end": (lambda data: data + gzip.compress(b"hidden"), "hidden behind its end"),
    "a name in gzip": (lambda data: gzip.compress(unzipped(data), mtime=1), "does not begin as"),
    "a damaged byte": (damaged, "cannot be unpacked"),
    "cut": (lambda data: data[: len(data) // 2], "ends too early"),
    "cut inside": (lambda data: gzipped(unzipped(data)[:3000]), "ends within"),
    "cut between": (lambda data: gzipped(unzipped(data).rstrip(b"\0") + b"\0" * 10), "ends"),
    "no tar": (lambda _: gzipped(b"x" * 5000), "cannot be read as a tar archive"),
    "nothing in it": (lambda _: gzipped(b""), "ends without the mark of an end"),
    "empty": (lambda _: b"", "does not begin as"),
    "a zip": (lambda _: b"PK\x05\x06" + bytes(18), "does not begin as"),
    "a bomb": (lambda data: beside(data, "package/bomb", bytes(64 << 20)), "unpacks to much more"),
    "many small bombs": (
        lambda data: again(members(data) | {f"package/{n}": bytes(900_000) for n in range(20)}),
        "unpacks to much more than its files need",
    ),
}
