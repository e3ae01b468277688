"""A package that comes from outside is inspected first: nothing beyond its folder is opened, nothing is guessed."""

from __future__ import annotations

import hashlib
import json
import shutil

import pytest

from sporeproof.form.load import load_form
from sporeproof.release.read import read_package
from sporeproof.release.refusals import ReleaseError
from tests.conftest import ROOT
from tests.release.edition import published

FORM = load_form(ROOT / "schema")


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    return published(FORM, tmp_path_factory.mktemp("first")).folder


@pytest.fixture
def copy(first, tmp_path):
    return shutil.copytree(first, tmp_path / "copy")


def sealed(folder):
    """Make the checksums true again, so that only the change itself can be found."""
    found = {each.relative_to(folder).as_posix(): each for each in folder.rglob("*") if each.is_file()}
    found.pop("SHA256SUMS", None)
    lines = (f"{hashlib.sha256(found[path].read_bytes()).hexdigest()}  {path}\n" for path in sorted(found))
    (folder / "SHA256SUMS").write_text("".join(lines), "utf-8")


def described(folder, change):
    path = folder / "datapackage.json"
    found = json.loads(path.read_text("utf-8"))
    change(found)
    path.write_text(json.dumps(found), "utf-8")
    sealed(folder)


def refusal(folder) -> str:
    with pytest.raises(ReleaseError) as caught:
        read_package(folder)
    text = str(caught.value)
    assert text.endswith(".")
    assert "Traceback" not in text
    return text


def test_a_sealed_copy_is_read(copy):
    sealed(copy)
    assert read_package(copy).version == "0.1.0"


@pytest.mark.parametrize(
    "path",
    [
        "/etc/passwd", "../first/csv/taxa.csv", "csv/../../x.csv", "http://localhost/taxa.csv",
        "file:///etc/passwd", "C:/x.csv", "csv\\taxa.csv", "~/taxa.csv", "", ".", "csv//taxa.csv", "a\x00b", None,
        ["csv/taxa.csv"], 7,
    ],
)  # fmt: skip
def test_a_path_that_leaves_the_package_is_refused(copy, path):
    described(copy, lambda d: d["resources"][0].update(path=path))
    text = refusal(copy)
    assert text.startswith(f"{copy}: datapackage.json: "), "found in the descriptor, before any table is read"
    assert text.endswith(("leads out of the package.", "a resource has no path of its own."))


def test_a_path_in_the_checksums_that_leaves_the_package_is_refused(copy):
    with (copy / "SHA256SUMS").open("a", encoding="utf-8") as file:
        file.write(f"{'0' * 64}  ../other\n")
    assert "../other is missing, and SHA256SUMS names it" in refusal(copy)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d["resources"][0].update(schema="https://localhost/schema.json"), "written out"),
        (lambda d: d["resources"][0].update(dialect="dialect.json"), "plain rows"),
        (lambda d: d["resources"][0].update(data=[]), "plain rows"),
        (lambda d: d["resources"][0].pop("hash"), "no size or checksum"),
        (lambda d: d["resources"][0].update(bytes="many"), "no size or checksum"),
        (lambda d: d["resources"][0].update(bytes=10**15), "not the file that datapackage.json describes"),
        (lambda d: d["resources"][0].update(bytes=3), "not the file that datapackage.json describes"),
        (lambda d: d["resources"][0].update(bytes=10**9), "not the file that datapackage.json describes"),
        (lambda d: d["resources"][0].update(hash="sha256:" + "0" * 64), "not the file that datapackage.json"),
        (lambda d: d["resources"][0]["schema"]["fields"][0].update(type="geojson"), "known here"),
        (lambda d: d["resources"][0]["schema"]["fields"].pop(), "columns"),
        (lambda d: d["resources"].append(d["resources"][0]), "2 resources have the name"),
        (lambda d: d["resources"].__setitem__(0, "taxa"), "a resource has no path"),
        (lambda d: d.update(resources={}), "no name, version or resources"),
        (lambda d: d.update(version="1.0"), "no name, version or resources"),
        (lambda d: d.update(name=None), "no name, version or resources"),
    ],
)
def test_a_descriptor_that_cannot_be_trusted_is_refused(copy, change, words):
    described(copy, change)
    assert words in refusal(copy)


@pytest.mark.parametrize("text", [b"", b"{", b"[]", b"\xff", b"[" * 100_000])
def test_a_descriptor_that_is_no_descriptor_is_refused(copy, text):
    (copy / "datapackage.json").write_bytes(text)
    assert "datapackage.json" in refusal(copy)


@pytest.mark.parametrize("path", ["csv/taxa.csv", "parquet/taxa.parquet", "news.md", "README.md", "datapackage.json"])
def test_one_other_byte_is_found(copy, path):
    data = bytearray((copy / path).read_bytes())
    data[-2] ^= 1
    (copy / path).write_bytes(data)
    assert path in refusal(copy)


@pytest.mark.parametrize("path", ["datapackage.json", "SHA256SUMS", "csv/taxa.csv", "news.md"])
def test_a_missing_file_is_named(copy, path):
    (copy / path).unlink()
    assert path in refusal(copy)


@pytest.mark.parametrize("path", ["datapackage.json", "SHA256SUMS", "csv/taxa.csv", "news.md"])
def test_a_link_is_not_followed(copy, first, path):
    (copy / path).unlink()
    (copy / path).symlink_to(first / path)
    assert f"{copy / path} is a link" in refusal(copy)


def test_a_folder_that_is_a_link_out_of_the_package_is_refused(copy, first):
    shutil.rmtree(copy / "csv")
    (copy / "csv").symlink_to(first / "csv")
    assert f"{copy / 'csv'} is a link" in refusal(copy)


def test_a_folder_that_is_not_there_is_named(tmp_path):
    assert "there is no such folder" in refusal(tmp_path / "nowhere")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b",any,", b",any,more,", "cannot be read as CSV"),
        (b"low", b"lo", "columns"),
        (b",30,", b",x,", "not of the column's type"),
    ],
)
def test_rows_that_do_not_fit_their_description_are_refused(copy, old, new, words):
    path = copy / "csv/measurements.csv"
    data = path.read_bytes().replace(old, new, 1)
    assert data != path.read_bytes()
    path.write_bytes(data)

    def measured(found):
        (resource,) = (each for each in found["resources"] if each["path"] == "csv/measurements.csv")
        resource.update(bytes=len(data), hash=f"sha256:{hashlib.sha256(data).hexdigest()}")

    described(copy, measured)
    assert words in refusal(copy)
