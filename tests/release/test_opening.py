"""Archives made to do harm are refused by what they list, before anything in them is opened."""

from __future__ import annotations

import gzip
import io
import os
import shutil
import stat
import struct
import tarfile
import zipfile
from pathlib import Path

import pytest

from sporeproof.release import opening as room
from sporeproof.release.opening import open_release
from sporeproof.release.refusals import ReleaseError

FILES = {"datapackage.json": b"{}", "csv/taxa.csv": b"taxon_id\nF9001\n", "README.md": b"# Read\n"}
HOSTILE = [
    "../out", "csv/../../out", "/etc/out", "C:/out", "c:out", "csv\\out", "\\\\there\\out", "http://localhost/x",
    "~/out", "csv//out", "./out", "a\nb", "a\x1bb", "end.", "end ", "x" * 300, "csv/\u202eout",
]  # fmt: skip
TWINS = [
    ("CSV/taxa.csv", "csv/taxa.csv"), ("readme.MD", "README.md"), ("csv/\ufb01t", "csv/fit"), ("e\u0301", "\u00e9"),
    ("csv", "csv/taxa.csv"), ("csv/taxa.csv", "csv/taxa.csv"),
]  # fmt: skip


def zipped(place: Path, files=FILES, change=lambda member: None, top: str = "") -> Path:
    """Write a ZIP archive of files, or of pairs of name and bytes; ``change`` may spoil each member's head."""
    pairs = files.items() if isinstance(files, dict) else files
    with zipfile.ZipFile(place, "w") as archive:
        for name, data in pairs:
            member = zipfile.ZipInfo(f"{top}{name}")
            member.filename = member.orig_filename = f"{top}{name}"
            member.compress_type = zipfile.ZIP_DEFLATED
            change(member)
            archive.writestr(member, data)
    return place


def tarred(place: Path, files=FILES, change=lambda member: None, top: str = "", form=tarfile.GNU_FORMAT) -> Path:
    """Write a gzipped tar archive of files, or of pairs of name and bytes."""
    pairs = files.items() if isinstance(files, dict) else files
    with tarfile.open(place, "w:gz", format=form) as archive:
        for name, data in pairs:
            member = tarfile.TarInfo(f"{top}{name}")
            member.size = len(data)
            change(member)
            archive.addfile(member, io.BytesIO(data) if member.isreg() else None)
    return place


def refusal(place: Path) -> str:
    with pytest.raises(ReleaseError) as caught:
        open_release(place)
    text = str(caught.value)
    assert text.endswith(".")
    assert "\n" not in text
    assert "\x1b" not in text
    return text


@pytest.fixture
def unopened(monkeypatch):
    """Have any reading of a member fail loudly; writing goes the same way."""
    plainly = zipfile.ZipFile.open

    def opened(archive, member, mode="r", *given, **named):
        assert mode == "w", "a file of a hostile archive was opened"
        return plainly(archive, member, mode, *given, **named)

    monkeypatch.setattr(zipfile.ZipFile, "open", opened)


@pytest.mark.parametrize("top", ["", "fernhollow-data-0.1.0/"])
@pytest.mark.parametrize(("pack", "name"), [(zipped, "x.zip"), (tarred, "x.tar.gz"), (tarred, "x.tgz")])
def test_an_archive_is_read_as_its_folder(tmp_path, pack, name, top):
    assert open_release(pack(tmp_path / name, top=top)) == FILES


@pytest.mark.parametrize("kind", ["zip", "gztar"])
def test_archives_of_the_standard_library_are_read(tmp_path, kind):
    """With heads for folders, and the additions that pax makes for times."""
    for path, data in FILES.items():
        (tmp_path / "in/data-0.1.0" / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "in/data-0.1.0" / path).write_bytes(data)
    made = shutil.make_archive(str(tmp_path / "packed"), kind, tmp_path / "in", "data-0.1.0")
    assert open_release(Path(made)) == FILES
    assert open_release(tmp_path / "in/data-0.1.0") == FILES
    assert open_release(tmp_path / "in/data-0.1.0/datapackage.json") == FILES


@pytest.mark.parametrize("name", HOSTILE)
def test_a_path_that_leads_out_of_a_zip_is_refused(tmp_path, unopened, name):
    assert "a path that no release has" in refusal(zipped(tmp_path / "x.zip", [*FILES.items(), (name, b"harm")]))


@pytest.mark.parametrize("name", [each for each in HOSTILE if each not in {"./out", "x" * 300}])
def test_a_path_that_leads_out_of_a_tar_is_refused(tmp_path, name):
    packed = tarred(tmp_path / "x.tgz", [*FILES.items(), (name, b"harm")])
    assert "a path that no release has" in refusal(packed)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["x.tgz"]


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("twins", TWINS)
@pytest.mark.parametrize(("pack", "name"), [(zipped, "x.zip"), (tarred, "x.tgz")])
def test_two_files_that_one_system_takes_for_one_are_refused(tmp_path, pack, name, twins):
    files = {**FILES, **dict.fromkeys(twins, b"x")}
    pairs = [*files.items(), *([(twins[0], b"y")] if twins[0] == twins[1] else [])]
    text = refusal(pack(tmp_path / name, pairs))
    assert "cannot be known which is meant" in text or "as a file and as a folder" in text


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR, stat.S_IFBLK, stat.S_IFSOCK])
def test_what_is_no_file_in_a_zip_is_refused(tmp_path, unopened, kind):
    def change(member):
        if member.filename == "README.md":
            member.external_attr = (kind | 0o644) << 16

    assert "a link or a device" in refusal(zipped(tmp_path / "x.zip", change=change))


@pytest.mark.parametrize(
    "kind",
    [tarfile.SYMTYPE, tarfile.LNKTYPE, tarfile.FIFOTYPE, tarfile.CHRTYPE, tarfile.BLKTYPE, tarfile.CONTTYPE, b"S"],
)
def test_what_is_no_file_in_a_tar_is_refused(tmp_path, kind):
    def change(member):
        if member.name == "README.md":
            member.type, member.linkname, member.size = kind, "/etc/passwd", 0

    assert "a link, a device" in refusal(tarred(tmp_path / "x.tgz", change=change))


@pytest.mark.parametrize("key", ["path", "size", "linkpath", "GNU.sparse.name"])
def test_an_addition_that_makes_a_file_another_one_is_refused(tmp_path, key):
    def change(member):
        member.pax_headers = {key: "7"}

    assert "addition to its head" in refusal(tarred(tmp_path / "x.tgz", change=change, form=tarfile.PAX_FORMAT))


def test_a_zip_bomb_is_refused_by_what_it_says(tmp_path, unopened):
    files = {**FILES, "csv/large.csv": b"0" * (4 << 20)}
    assert "to fill the memory" in refusal(zipped(tmp_path / "x.zip", files))


def test_a_tar_bomb_is_not_unpacked(tmp_path):
    assert "to fill the memory" in refusal(tarred(tmp_path / "x.tgz", {**FILES, "large": b"0" * (4 << 20)}))
    with gzip.open(tmp_path / "zeros.tgz", "wb") as file:
        file.write(tarred_plain(FILES) + b"\0" * (8 << 20))
    assert "to fill the memory" in refusal(tmp_path / "zeros.tgz")


def tarred_plain(files) -> bytes:
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w", format=tarfile.USTAR_FORMAT) as archive:
        for name, data in files.items():
            member = tarfile.TarInfo(name)
            member.size = len(data)
            archive.addfile(member, io.BytesIO(data))
    return out.getvalue()


def test_a_size_that_lies_is_found(tmp_path):
    """The list of contents says 3 bytes; the packed ones are many more."""
    place = zipped(tmp_path / "x.zip", {**FILES, "csv/more.csv": os.urandom(5000)})
    data = place.read_bytes()
    at = data.rindex(b"PK\x01\x02")
    place.write_bytes(data[: at + 24] + struct.pack("<L", 3) + data[at + 28 :])
    assert "x.zip" in refusal(place)


def test_members_that_share_bytes_are_refused(tmp_path, unopened):
    place = zipped(tmp_path / "x.zip")
    data = bytearray(place.read_bytes())
    first = data.index(b"PK\x01\x02")
    second = data.index(b"PK\x01\x02", first + 4)
    data[second + 42 : second + 46] = data[first + 42 : first + 46]
    place.write_bytes(data)
    assert "reaches into what comes after it" in refusal(place)


def test_a_locked_zip_is_refused(tmp_path, unopened):
    place = zipped(tmp_path / "x.zip")
    data = bytearray(place.read_bytes())
    data[data.index(b"PK\x01\x02") + 8] |= 1
    place.write_bytes(data)
    assert "locked with a password" in refusal(place)


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA, 99])
def test_an_unusual_packing_is_refused(tmp_path, unopened, method):
    zipped_by(tmp_path / "x.zip", method)
    assert "unusual way" in refusal(tmp_path / "x.zip")


def zipped_by(place: Path, method: int) -> None:
    """Say in the list of contents that the first file is packed by another method."""
    data = bytearray(zipped(place).read_bytes())
    at = data.index(b"PK\x01\x02")
    data[at + 10 : at + 12] = struct.pack("<H", method)
    place.write_bytes(data)


@pytest.mark.parametrize(("pack", "name"), [(zipped, "x.zip"), (tarred, "x.tgz")])
def test_more_files_than_a_release_has_are_refused(tmp_path, monkeypatch, pack, name):
    monkeypatch.setattr(room, "MOST_FILES", 2)
    assert "more than 2 files" in refusal(pack(tmp_path / name))


@pytest.mark.parametrize(("pack", "name"), [(zipped, "x.zip"), (tarred, "x.tgz")])
def test_every_cut_archive_is_one_sentence(tmp_path, pack, name):
    data = pack(tmp_path / name).read_bytes()
    for end in range(0, len(data) - 1, 7):
        (tmp_path / name).write_bytes(data[:end])
        refusal(tmp_path / name)


def test_what_is_hidden_behind_the_end_of_a_tar_is_found(tmp_path):
    with gzip.open(tmp_path / "x.tgz", "wb") as file:
        file.write(tarred_plain(FILES) + b"harm" * 200)
    assert "hidden behind its last file" in refusal(tmp_path / "x.tgz")


@pytest.mark.parametrize(
    "files",
    [
        {},
        {"a/datapackage.json": b"{}", "b/datapackage.json": b"{}"},
        {"a/b/datapackage.json": b"{}"},
        {"readme": b""},
        {"a/datapackage.json": b"{}", "beside": b""},
    ],
)
def test_no_release_or_more_than_one_is_told(tmp_path, files):
    assert "x.tgz holds no datapackage.json" in refusal(tarred(tmp_path / "x.tgz", files))


@pytest.mark.parametrize("data", [b"", b"P", b"%PDF-1.7", b"PK\x03\x04", b"\x1f\x8b", b"\x1f\x8b\x08\0" + b"\0" * 99])
def test_what_is_no_archive_is_told(tmp_path, data):
    (tmp_path / "x").write_bytes(data)
    assert str(tmp_path / "x") in refusal(tmp_path / "x")


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "data/csv").mkdir(parents=True)
    for path, data in FILES.items():
        (tmp_path / "data" / path).write_bytes(data)
    return tmp_path / "data"


def test_a_link_in_a_folder_is_not_followed(folder):
    (folder / "csv/more").symlink_to("/etc/passwd")
    assert "more is a link" in refusal(folder)


def test_a_pipe_in_a_folder_is_not_opened(folder):
    os.mkfifo(folder / "csv/pipe")
    assert "pipe is not a plain file" in refusal(folder)
    assert "there is no such folder or archive" in refusal(folder / "csv/pipe")


def test_a_hostile_name_in_a_folder_is_refused(folder):
    (folder / "csv/a\\b").write_bytes(b"")
    assert "a path that no release has" in refusal(folder)


def test_a_large_folder_is_not_read(folder, monkeypatch):
    monkeypatch.setattr(room, "fetch", lambda *_: pytest.fail("it was read"))
    with (folder / "csv/large").open("wb") as file:
        file.truncate(3 << 30)
    assert "holds more than 2 GiB" in refusal(folder)
