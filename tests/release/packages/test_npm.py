"""The npm package of a release: its bytes, what describes it, and what is told of one that was changed."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import subprocess
import sys
import tarfile
from dataclasses import replace
from importlib.resources import files as resources

import pytest

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.carried import carried
from sporeproof.release.formats.npm_parts import source
from sporeproof.release.formats.npm_parts.tarball import packed, unpacked
from sporeproof.release.formats.to_npm import amiss, path_of, to_npm
from tests.conftest import ROOT
from tests.release.packages import tarballs
from tests.release.packages.tarballs import CODE, HOSTILE, INDEX, TAXON, changed, members, tarball_of, without

MANIFEST, PAGE = "package/package.json", "package/README.md"


@pytest.fixture(scope="module")
def data(small):
    return tarball_of(small)


@pytest.fixture(scope="module")
def inside(data):
    return members(data)


def said(data, content):
    return list(amiss({path_of(content): data}, content))


def test_it_is_named_as_npm_names_it(small):
    """Source: docs.npmjs.com, `npm pack`: name-version.tgz."""
    assert list(to_npm(small)) == ["packages/fernhollow-data-0.1.0.tgz"]


def test_the_data_are_those_that_every_package_carries(small, inside):
    found = {name: data for name, data in inside.items() if name.startswith("package/records/")}
    assert found == {f"package/records/{name}": data for name, data in carried(small).items()}


def test_the_code_stands_in_it_as_it_stands_in_this_house(inside):
    folder = resources("sporeproof.release.packages") / "npm"
    kept = {each.name for each in folder.iterdir() if each.is_file()}
    assert kept == {*source.CODE, "README.md"}
    for name in source.CODE:
        assert inside[f"package/{name}"] == (folder / name).read_bytes()
    assert inside["package/LICENSE"] == (ROOT / "LICENSE").read_bytes()


def test_package_json_leads_to_files_that_are_there_and_runs_nothing(inside):
    """Source: docs.npmjs.com, package.json; nodejs.org, Modules: Packages, conditional exports."""
    told = json.loads(inside[MANIFEST])
    assert (told["name"], told["version"]) == ("fernhollow-data", "0.1.0")
    assert told["license"] == "(Apache-2.0 AND CC-BY-4.0)"
    assert told["engines"] == {"node": ">=18"}
    assert SAFETY_NOTE in told["description"]
    harmful = {
        "scripts",
        "bin",
        "dependencies",
        "optionalDependencies",
        "peerDependencies",
        "bundleDependencies",
        "gypfile",
    }
    assert harmful.isdisjoint(told)
    leaves = re.findall(r'"\./([^"]+)"', json.dumps([told["main"], told["types"], list(told["exports"].values())]))
    assert len(leaves) == 7
    assert {f"package/{each}" for each in leaves} <= inside.keys()
    assert list(told["exports"]["."]["import"]) == ["types", "default"]  # the first that fits is taken


def test_the_code_needs_nothing_but_files_and_its_own_modules():
    wanted = {"node:fs", "node:path"}
    for name, data in source.code().items():
        text = data.decode()
        needed = set(re.findall(r"""(?:require\(|from )"([^"]+)""", text))
        assert {each for each in needed if not each.startswith("./")} <= wanted, name
        assert {each.removeprefix("./") for each in needed if each.startswith("./")} <= set(source.CODE), name
        assert not re.search(r"\beval\b|new Function|process\.|fetch\(|import\(", text), name


def test_the_page_bears_the_note_and_tells_how_little_was_reviewed(inside):
    page = inside[PAGE].decode()
    assert SAFETY_NOTE in page
    assert "0 of 5 entries were reviewed" in page
    assert 'require("fernhollow-data")' in page
    assert not re.search(r"\$\w", page)


def test_its_bytes_tell_neither_when_nor_where_it_was_made(data):
    """Sources: POSIX.1-2017, pax, ustar; RFC 1952, 2.3: no name (FLG), no time (MTIME), no system (OS 255)."""
    assert data[:4] == b"\x1f\x8b\x08\x00"
    assert data[4:8] == bytes(4)
    assert data[9] == 255
    with tarfile.open(fileobj=io.BytesIO(data), mode="r:gz") as archive:
        heads = archive.getmembers()
    assert {(each.type, each.uid, each.gid, each.uname, each.gname) for each in heads} == {(b"0", 0, 0, "", "")}
    assert {(each.mode, each.mtime) for each in heads} == {(0o644, 499162500)}
    assert not any(each.pax_headers for each in heads)


def test_another_process_elsewhere_writes_the_same_bytes(data):
    program = (
        "import hashlib; from pathlib import Path; from sporeproof.form.load import load_form; "
        "from tests.release.conftest import content_of; from tests.release.edition import WORDS, edition; "
        "from tests.release.packages.tarballs import tarball_of; form = load_form(Path('schema')); "
        "print(hashlib.sha256(tarball_of(content_of(edition(form), form, WORDS))).hexdigest())"
    )
    elsewhere = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Pacific/Chatham", "LC_ALL": "C", "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, env=elsewhere, capture_output=True, text=True)
    assert done.stdout.strip() == hashlib.sha256(data).hexdigest(), done.stderr


def test_the_real_one_is_as_it_should_be(real):
    assert said(tarball_of(real), real) == []


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda d: without(d, TAXON), f"{TAXON} is missing in it"),
        (lambda d: without(d, CODE), f"{CODE} is missing in it"),
        (
            lambda d: changed(d, TAXON, b'"deadly","title":"Deadly"', b'"edible","title":"Edible"'),
            f"{TAXON} says at /edibility/verdict/id `edible` where the tables say `deadly`",
        ),
        (lambda d: changed(d, TAXON, b'"reviewed":false', b'"reviewed":true'), "at /review/reviewed `True`"),
        (lambda d: changed(d, INDEX, b'"reviewed":[]', b'"reviewed":["F9001"]'), "/reviewed"),
        (lambda d: changed(d, INDEX, b'"fictum letale":[["F9002"', b'"fictum letale":[["F9001"'), "fictum letale"),
        (lambda d: changed(d, TAXON, b'"separators":null', b'"separators":0'), "/separators `0`"),
        (lambda d: changed(d, TAXON, b"}\n", b"} \n"), "holds the same facts, written otherwise"),
        (lambda d: changed(d, TAXON, b"{", b"["), "cannot be read as JSON"),
        (lambda d: changed(d, CODE, b"{ reviewedOnly }", b"{ reviewedonly }"), "do not run it"),
        (lambda d: changed(d, MANIFEST, b'"type"', b'"scripts": {"postinstall": "x"}, "type"'), "adds `/scripts"),
        (lambda d: changed(d, MANIFEST, b'"version": "0.1.0"', b'"version": "0.2.0"'), "at /version `0.2.0`"),
        (lambda d: changed(d, PAGE, SAFETY_NOTE.encode(), b"Eat it."), f"{PAGE} holds another page"),
    ],
)
def test_what_was_changed_is_told(small, data, spoil, words):
    assert said(data, small) == []
    (found,) = said(spoil(data), small)
    assert words in found
    assert found.startswith("packages/fernhollow-data-0.1.0.tgz: ")
    assert found.endswith(".")


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_tarball_is_told_and_never_opened_further(small, data, name):
    spoil, words = HOSTILE[name]
    found = said(spoil(data), small)
    assert found
    assert any(words in each for each in found), found
    assert len(found) <= 20


def test_any_wrong_byte_is_told_without_a_stop(small, data):
    """Sampled: wherever a bit is turned in the packed form, or before the first file in the plain one."""
    plain = tarballs.unzipped(data)
    for at in range(0, len(data), max(1, len(data) // 60)):
        spoilt = bytearray(data)
        spoilt[at] ^= 0x10
        assert said(bytes(spoilt), small), at
    for at in range(0, 512, 3):
        spoilt = bytearray(plain)
        spoilt[at] ^= 0x10
        assert said(tarballs.gzipped(bytes(spoilt)), small), at


def test_a_missing_or_a_foreign_package_is_told(small, data):
    assert list(amiss({}, small)) == ["packages/fernhollow-data-0.1.0.tgz is missing."]
    found = list(amiss({path_of(small): data, "packages/fernhollow-data-9.0.0.tgz": data}, small))
    assert found == ["packages/fernhollow-data-9.0.0.tgz is no package of this release; do not install it."]


def test_code_of_another_version_of_the_tool_is_never_passed_over_in_silence(small, data):
    other = replace(small, provenance={**small.provenance, "tool": {"name": "sporeproof", "version": "99.0.0"}})
    theirs = tarball_of(other)
    assert said(theirs, other) == []
    (found,) = said(changed(theirs, CODE, b"use strict", b"use Strict"), other)
    assert "99.0.0 wrote it: verify it with sporeproof 99.0.0 before you run it" in found


def test_what_comes_back_is_only_what_differs():
    files = {"package/a": b"x" * 700, "package/b": b"", "package/c": b"y" * 512}
    assert unpacked(packed(files), files) == ({}, [])
    assert unpacked(packed(files | {"package/c": b"z"}), files) == ({"package/c": b"z"}, [])
