"""The Python package in the hands of the programs that Python users have: pip, venv, wheel, packaging, mypy.

- pip (PyPA, MIT) installs it without a network into an environment that holds nothing else, and checks it.
- packaging (PyPA, Apache-2.0 or BSD) reads its name and its core metadata by the standards.
- wheel (PyPA, MIT), the reference implementation of PEP 427, unpacks it and holds each file against RECORD.
- mypy (MIT) checks a small program of a user against it, strictly, for the oldest Python that it names.
- Python's own import system runs it out of the ZIP file (PEP 273).
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest
from packaging.metadata import Metadata
from packaging.utils import parse_wheel_filename

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.formats.to_wheel import to_wheel

PROGRAM = """
import json, sys
import sporeproof_data
from sporeproof_data import confusions, find, notices, proof, provenance, taxa

told = {}
for taxon in taxa():
    told[taxon.id] = {"verdict": taxon.verdict.id, "confusions": [each.id for each in confusions(taxon)]}
(name,) = sys.argv[1:]
found = find(name)
print(json.dumps({
    "told": told, "found": [each.id for each in found], "text": str(found[0]), "version": sporeproof_data.__version__,
    "notices": len(notices(sporeproof_data.__version__)), "note": sporeproof_data.SAFETY_NOTE,
    "taxa": provenance()["counts"]["taxa"], "levels": len(proof(found[-1]).levels), "file": sporeproof_data.__file__,
}))
"""
CONSUMER = '''
"""A walk's helper: what to tell of a name."""
import sporeproof_data
from sporeproof_data import Confusion, NoProof, NotRecorded, Taxon, Verdict, confusions, find, proof


def tell(name: str) -> str:
    try:
        found: tuple[Taxon, ...] = find(name, reviewed_only=False)
    except NotRecorded as error:
        return str(error)
    verdict: Verdict = found[0].verdict
    needs: list[str] = [each.title for each in verdict.needs]
    others: tuple[Confusion, ...] = confusions(found[0])
    sizes: list[float] = [each.low for each in found[0].measurements]
    try:
        left = [each.name for level in proof(found[0]).levels for each in level.not_excluded]
    except NoProof as error:
        left = [str(error)]
    grade = verdict.grade.title if verdict.grade else "none"
    return f"{verdict} {needs} {[each.name for each in others]} {sizes} {left} {grade} {sporeproof_data.SAFETY_NOTE}"
'''
WRONG = """
from sporeproof_data import find

text: str = find("any")[0].verdict
find("any").verdict
find("any")[0].is_edible
find("any")[0].verdict.id = "edible"
len(find("any")[0].verdict.grade.title)
"""


@pytest.fixture(scope="module")
def wheel(real, tmp_path_factory):
    ((name, data),) = to_wheel(real).items()
    path = tmp_path_factory.mktemp("wheel") / Path(name).name
    path.write_bytes(data)
    return path


@pytest.fixture(scope="module")
def place(tmp_path_factory, wheel):
    """Return the Python of an environment that holds the package and nothing else, not even pip."""
    folder = tmp_path_factory.mktemp("place")
    venv.create(folder, with_pip=False)
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    pip(python, "install", "--no-index", "--no-deps", wheel)
    return python


def pip(python, *words):
    command = [sys.executable, "-m", "pip", "--python", python, "--disable-pip-version-check", *words]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def ran(command, **environment):
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(command, env=clean | environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture(scope="module")
def edible(real):
    return next(row["name"] for row in real.rows["taxa"] if real.form.is_edible(row["verdict"]))


def right(told, real, edible):
    """Assert that a program was told what the tables say."""
    pairs = {(row["taxon_id"], row["with_taxon_id"]) for row in real.rows["confusions"] if row["listed"] != "dismissed"}
    assert told["told"].keys() == real.taxa.keys()
    for id, each in told["told"].items():
        assert each["verdict"] == real.taxa[id]["verdict"]
        assert set(each["confusions"]) == {b for a, b in pairs if a == id} | {a for a, b in pairs if b == id}
    assert real.taxa[told["found"][0]]["name"] == edible
    assert SAFETY_NOTE in told["text"]
    assert (told["version"], told["notices"], told["note"]) == (real.version, 0, SAFETY_NOTE)
    assert told["taxa"] == len(real.taxa)
    assert told["levels"]


def test_a_program_in_an_environment_of_its_own_is_told_what_the_tables_say(real, place, edible):
    told = ran([place, "-I", "-c", PROGRAM, edible])
    right(told, real, edible)
    assert Path(told["file"]).is_relative_to(place.parents[1])


def test_pip_finds_nothing_wrong_and_knows_every_file(place, wheel):
    assert "No broken requirements" in pip(place, "check")
    (found,) = json.loads(pip(place, "list", "--format", "json"))
    assert found["name"].replace("-", "_") == wheel.name.partition("-")[0]
    listed = pip(place, "show", "--files", found["name"])
    assert "records/index.json" in listed.replace("\\", "/")


def test_it_runs_out_of_the_file_itself(real, wheel, edible):
    told = ran([sys.executable, "-S", "-c", PROGRAM, edible], PYTHONPATH=str(wheel))
    right(told, real, edible)
    assert str(wheel) in told["file"]


def test_the_reference_implementation_unpacks_it_and_finds_record_true(wheel, tmp_path):
    command = [sys.executable, "-m", "wheel", "unpack", "--dest", tmp_path]
    done = subprocess.run([*command, wheel], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert list(tmp_path.glob("*/sporeproof_data/records/taxa/*.json"))
    spoilt = tmp_path / wheel.name
    spoilt.write_bytes(wheel.read_bytes().replace(b"METADATA", b"METADATB"))
    assert subprocess.run([*command, spoilt], capture_output=True).returncode != 0


def test_its_name_and_its_metadata_keep_to_the_standards(real, wheel):
    name, version, build, tags = parse_wheel_filename(wheel.name)
    assert (name, str(version), build) == (real.words["name"], real.version, ())
    assert {str(each) for each in tags} == {"py3-none-any"}
    with zipfile.ZipFile(wheel) as archive:
        path = next(each for each in archive.namelist() if each.endswith(".dist-info/METADATA"))
        found = Metadata.from_email(archive.read(path), validate=True)
    assert (found.name, found.version) == (real.words["name"], version)
    assert str(found.license_expression) == "Apache-2.0 AND CC-BY-4.0"
    assert found.license_files == ["LICENSE"]
    assert found.requires_dist is None
    assert "3.10" in found.requires_python
    assert "3.9" not in found.requires_python


def test_a_strict_type_checker_knows_it_and_finds_what_a_program_gets_wrong(place, tmp_path):
    (tmp_path / "consumer.py").write_text(CONSUMER, "utf-8")
    (tmp_path / "wrong.py").write_text(WRONG, "utf-8")
    command = [sys.executable, "-m", "mypy", "--strict", "--python-version", "3.10", "--python-executable", place,
               "--config-file", os.devnull, "--cache-dir", tmp_path / "cache", "consumer.py", "wrong.py"]  # fmt: skip
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True)
    assert "consumer.py" not in done.stdout, done.stdout
    found = [line.partition(":")[2].partition(":")[0] for line in done.stdout.splitlines() if "error:" in line]
    assert found == ["4", "5", "6", "7", "8"], done.stdout + done.stderr
