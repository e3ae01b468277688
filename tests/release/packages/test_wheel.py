"""The Python package of a release as a file: the same at any time, truly described, and held against the tables.

The forms are PEP 427 (wheel 1.0), PEP 376 and 627 (RECORD), PEP 643 and 639 (core metadata 2.4).
"""

from __future__ import annotations

import ast
import base64
import csv
import hashlib
import io
import json
import os
import subprocess
import sys
import zipfile
from email.parser import BytesParser

import pytest

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.carried import INDEX, carried
from sporeproof.release.formats.to_wheel import amiss, path_of, to_wheel
from sporeproof.release.formats.wheel_parts import source
from tests.conftest import ROOT
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition
from tests.release.formats import spoiled
from tests.release.packages.installed import wheel_of

ABOUT = "fernhollow_data-0.1.0.dist-info"
TAXON = "sporeproof_data/records/taxa/F9001.json"
CODE = "sporeproof_data/_verdict.py"


@pytest.fixture(scope="module")
def few(small):
    return wheel_of(small)


def head(data, name):
    return BytesParser().parsebytes(spoiled.members(data)[name])


def told(small, data):
    return list(amiss({path_of(small): data}, small))


def recorded(files):
    """Return the files with a RECORD that is true of them, made without the house's own code."""
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\n")
    for name, data in files.items():
        if name != f"{ABOUT}/RECORD":
            checksum = base64.urlsafe_b64encode(hashlib.sha256(data).digest()).decode().rstrip("=")
            lines.writerow([name, f"sha256={checksum}", len(data)])
    lines.writerow([f"{ABOUT}/RECORD", "", ""])
    return files | {f"{ABOUT}/RECORD": out.getvalue().encode()}


def changed(data, **parts):
    """Return the wheel with texts replaced in some of its files, its RECORD made anew and true."""
    files = spoiled.members(data)
    for name, (old, new) in parts.items():
        assert old in files[name]
        files[name] = files[name].replace(old, new)
    return spoiled.zipped(recorded(files))


def test_it_is_named_after_the_data_and_their_version(small, real):
    assert list(to_wheel(small)) == ["packages/fernhollow_data-0.1.0-py3-none-any.whl"]
    assert path_of(real) == "packages/sporeproof_data-0.1.0-py3-none-any.whl"


def test_it_is_the_same_at_any_time_and_place(few):
    program = (
        "import hashlib; from sporeproof.form.load import load_form; from tests.conftest import ROOT; "
        "from tests.release.edition import WORDS, edition; from tests.release.conftest import content_of; "
        "from tests.release.packages.installed import wheel_of; form = load_form(ROOT / 'schema'); "
        "print(hashlib.sha256(wheel_of(content_of(edition(form), form, WORDS))).hexdigest())"
    )
    elsewhere = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Pacific/Apia", "LC_ALL": "C", "SOURCE_DATE_EPOCH": "1e9"}
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, env=elsewhere, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == hashlib.sha256(few).hexdigest()
    with zipfile.ZipFile(io.BytesIO(few)) as archive:
        assert {each.date_time for each in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert archive.testzip() is None


def test_its_data_are_those_that_every_package_carries_and_its_code_is_ours(small, few):
    files = spoiled.members(few)
    assert list(files)[-1] == f"{ABOUT}/RECORD"
    data = carried(small)
    index = json.loads(files.pop("sporeproof_data/records/index.json"))
    assert index | {"names": json.loads(files.pop("sporeproof_data/records/names.json"))} == json.loads(data.pop(INDEX))
    for name, text in data.items():
        assert files.pop(f"sporeproof_data/records/{name}") == text
    here = ROOT / "pipeline/sporeproof/release/packages/python/sporeproof_data"
    for path in (*here.glob("*.py"), here / "py.typed"):
        assert files.pop(f"sporeproof_data/{path.name}") == path.read_bytes()
    assert sorted(files) == [f"{ABOUT}/{each}" for each in ("METADATA", "RECORD", "WHEEL", "licenses/LICENSE")]


def test_its_record_is_true(few):
    files = spoiled.members(few)
    assert recorded(files) == files


def test_it_is_described_by_what_the_dataset_says(real):
    found = head(wheel_of(real), "sporeproof_data-0.1.0.dist-info/METADATA")
    assert (found["Name"], found["Version"]) == (real.words["name"], real.version)
    assert found["License-Expression"] == "Apache-2.0 AND CC-BY-4.0"
    assert found["Requires-Dist"] is None
    page = found.get_payload()
    vouched = sum(real.form.flagged("review-states", row["review_state"], "vouched") for row in real.taxa.values())
    counted = f"{vouched} of {len(real.taxa)} entries"
    for said in (SAFETY_NOTE, real.words["licence"]["path"], "The contributors of the checklist", counted):
        assert said in page
    assert "$" not in page


def test_a_title_of_several_lines_is_one_line_there(form):
    words = WORDS | {"title": "The checklist\nLicense-Expression: MIT\n\nof nobody"}
    data = wheel_of(content_of(edition(form), form, words))
    found = head(data, f"{ABOUT}/METADATA")
    assert found["Summary"] == "The checklist License-Expression: MIT of nobody"
    assert found.get_all("License-Expression") == ["Apache-2.0 AND CC-BY-4.0"]


def test_the_licence_of_the_code_is_that_of_the_house(few):
    licence = (ROOT / "LICENSE").read_bytes()
    assert source.licence() == licence == spoiled.members(few)[f"{ABOUT}/licenses/LICENSE"]


def test_the_code_is_plain_python_of_the_version_that_it_asks_for(few):
    """Only modules of the standard library and of the package itself are imported, none of which can fetch anything."""
    found = head(few, f"{ABOUT}/METADATA")
    assert found["Requires-Python"] == ">=3.10"
    imports = set()
    for name, text in source.code().items():
        if name.endswith(".py"):
            for node in ast.walk(ast.parse(text, feature_version=(3, 10))):
                if isinstance(node, ast.Import):
                    imports |= {each.name for each in node.names}
                if isinstance(node, ast.ImportFrom) and not node.level:
                    imports.add(node.module)
    allowed = {"__future__", "collections.abc", "copy", "functools", "json", "pkgutil", "re", "typing", "unicodedata"}
    assert imports == allowed


def test_nothing_is_amiss_with_our_own(small, real, few):
    assert told(small, few) == []
    assert list(amiss(to_wheel(real), real)) == []


@pytest.mark.parametrize("trouble", spoiled.HOSTILE)
def test_a_hostile_archive_is_told_of_and_never_opened_wide(small, few, trouble):
    spoil, said = spoiled.HOSTILE[trouble]
    found = told(small, spoil(few, TAXON))
    assert any(said in each for each in found), found
    assert len(found) <= 20


FLIPS = {
    "a verdict": (TAXON, b'"id":"edible-with-conditions"', b'"id":"edible"', "/edibility/verdict/id says `edible`"),
    "a need": (TAXON, b"discard-stems", b"keep-them-all", "/edibility/needs/1/id"),
    "a confusion's name": (TAXON, b"Fictum letale", b"Fictum bonum", "/edibility/confusions/0/with/name"),
    "a review": (TAXON, b'"reviewed":false', b'"reviewed":true', "/review/reviewed"),
    "a kind of number": (TAXON, b'"low":30.0', b'"low":30', "/low"),
    "a name that leads elsewhere": (
        "sporeproof_data/records/names.json", b'[["F9002","current"]]', b'[["F9005","current"]]', "/fictum letale"
    ),
    "the safety note": (
        "sporeproof_data/records/index.json", b"never replaces it", b"always replaces it", "/safety_note"
    ),
    "spaces alone": (TAXON, b'{"schema":1', b'{ "schema":1', "written otherwise"),
    "an added key": (TAXON, b'{"schema":1', b'{"safe":1,"schema":1', "adds `/safe`"),
    "a name": (f"{ABOUT}/METADATA", b"Name: fernhollow-data", b"Name: numpy", "`Name`"),
    "a version": (f"{ABOUT}/METADATA", b"Version: 0.1.0", b"Version: 9.9.9", "`Version`"),
    "a dependency": (f"{ABOUT}/METADATA", b"Name:", b"Requires-Dist: evil\nName:", "`Requires-Dist`"),
    "a page": (f"{ABOUT}/METADATA", b"never replaces it", b"always replaces it", "another page"),
    "a tag": (f"{ABOUT}/WHEEL", b"py3-none-any", b"cp311-none-any", "`Tag`"),
    "a place": (f"{ABOUT}/WHEEL", b"Purelib: true", b"Purelib: false", "`Root-Is-Purelib`"),
    "code": (CODE, b"raise TypeError", b"return True #", "not the code that sporeproof 0.1.0 writes"),
    "a licence": (f"{ABOUT}/licenses/LICENSE", b"Apache License", b"Apache Licence", "licenses/LICENSE"),
}  # fmt: skip


@pytest.mark.parametrize("flip", FLIPS)
def test_one_change_is_told_of_even_if_record_was_made_anew(small, few, flip):
    name, old, new, said = FLIPS[flip]
    (found,) = told(small, changed(few, **{name: (old, new)}))
    assert name in found
    assert said.replace(" says", "") in found


def test_every_file_of_it_is_held_against_ours(small, few):
    """One byte turned in each file in turn, RECORD made anew; and each file dropped in turn."""
    files = spoiled.members(few)
    for name, data in files.items():
        turned = data[:-2] + bytes([data[-2] ^ 1]) + data[-1:] if data else b"#"
        spoilt = files | {name: turned}
        found = told(small, spoiled.zipped(spoilt if name.endswith("RECORD") else recorded(spoilt)))
        assert any(name in each for each in found), name
        left = recorded({each: text for each, text in files.items() if each != name})
        if not name.endswith("RECORD"):
            assert any(f"{name} is missing" in each for each in told(small, spoiled.zipped(left)))


def test_two_taxa_that_changed_places_are_told_of(small, few):
    swapped = spoiled.swapped(few, TAXON, TAXON.replace("F9001", "F9002"))
    found = told(small, spoiled.zipped(recorded(spoiled.members(swapped))))
    assert len(found) == 2
    assert all("/id" in each for each in found)


def test_a_record_that_is_untrue_is_told_of(small, few):
    files = spoiled.members(few)
    name = f"{ABOUT}/RECORD"
    lines = files[name].decode().splitlines()
    for wrong in (lines[1:], [*lines, "evil.py,sha256=x,1"], [lines[0].replace("sha256=", "md5="), *lines[1:]], []):
        found = told(small, spoiled.zipped(files | {name: ("\n".join(wrong) + "\n").encode()}))
        assert found
        assert all("RECORD" in each for each in found)


def test_code_of_another_version_of_the_tool_is_not_passed_over(form, small, few):
    theirs = content_of(edition(form), form, WORDS)
    theirs.provenance["tool"]["version"] = "9.9.9"
    own = to_wheel(theirs)
    assert list(amiss(own, theirs)) == []
    other = {path: changed(data, **{CODE: (b"raise TypeError", b"return True #")}) for path, data in own.items()}
    (found,) = amiss(other, theirs)
    assert "verify it with sporeproof 9.9.9" in found


def test_a_wheel_that_is_missing_or_stands_beside_it_is_told_of(small, few):
    assert list(amiss({}, small)) == ["packages/fernhollow_data-0.1.0-py3-none-any.whl is missing."]
    beside = {path_of(small): few, "packages/fernhollow_data-0.2.0-py3-none-any.whl": few}
    (found,) = amiss(beside, small)
    assert "do not install it" in found


@pytest.mark.parametrize("text", [b"[" * 100_000, b"", b"\xff", b"NaN", b'{"schema":' + b"9" * 5000 + b"}"])
def test_a_record_that_no_program_can_read_is_one_sentence(small, few, text):
    files = recorded(spoiled.members(few) | {TAXON: text})
    (found,) = told(small, spoiled.zipped(files))
    assert TAXON in found
    assert len(found) < 400


def test_what_it_says_of_a_received_file_can_harm_no_terminal(small, few):
    files = spoiled.members(few)
    record = json.loads(files[TAXON])
    for hostile in (record | {"schema": "\x1b[31m"}, record | {"\x1b]0;evil\x07": 1}, {"\u202e": 1}):
        found = told(small, spoiled.zipped(recorded(files | {TAXON: json.dumps(hostile).encode()})))
        assert len(found) == 1
        assert found[0].isprintable()
