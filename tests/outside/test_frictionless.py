"""The package of the real dataset, judged by programs that are not ours.

Sources: the Data Package v2 profiles (``schemas/README.md``), read by jsonschema; the library and the command
frictionless (PyPI, MIT), which reads every CSV file by its table schema and proves sizes and checksums.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft7Validator

from sporeproof import run
from sporeproof.names.outcome import filled
from sporeproof.release.publish import publish
from sporeproof.tables.build import Facts, build
from tests.conftest import ROOT

PROFILES = ROOT / "tests/outside/schemas"


@pytest.fixture(scope="module")
def folder(dataset, checklist, form, tmp_path_factory) -> Path:
    beside = {name: each.value for name, each in dataset.companions.items()}
    tables = build(Facts(checklist, form, beside["sources"], beside["protections"]))
    answers, _ = run.recorded(ROOT)
    out = tmp_path_factory.mktemp("dist")
    return publish(filled(tables, answers, form), form, beside["package"], None, None, out).folder


@pytest.fixture(scope="module")
def descriptor(folder) -> dict:
    return json.loads((folder / "datapackage.json").read_text("utf-8"))


def errors(profile: str, value: object) -> list[str]:
    schema = json.loads((PROFILES / profile).read_text("utf-8"))
    return [f"{each.json_path}: {each.message}" for each in Draft7Validator(schema).iter_errors(value)]


def test_the_descriptor_keeps_to_the_profiles(descriptor):
    assert errors("datapackage.json", descriptor) == []
    for resource in descriptor["resources"]:
        assert errors("dataresource.json", resource) == []
        assert "schema" not in resource or errors("tableschema.json", resource["schema"]) == []


def test_the_profiles_can_say_no(descriptor):
    assert errors("datapackage.json", {**descriptor, "resources": "taxa"})
    assert errors("dataresource.json", {**descriptor["resources"][0], "type": "file"})
    assert errors("tableschema.json", {"fields": [{"type": "string"}]})


def test_the_library_finds_it_valid(folder, descriptor):
    from frictionless import Package

    report = Package(str(folder / "datapackage.json")).validate()
    assert report.flatten(["type", "message"]) == []
    assert len(report.tasks) == len(descriptor["resources"])
    rows = {each.name: each.stats.get("rows") for each in report.tasks}
    assert rows["taxa"] == len(list((ROOT / "dataset/taxa").glob("*.yaml")))


def test_the_library_proves_the_checksums_of_both_formats(folder, descriptor):
    from frictionless import Package

    for path in ("csv/taxa.csv", "parquet/taxa.parquet"):
        other = json.loads(json.dumps(descriptor))
        (resource,) = (each for each in other["resources"] if each["path"] == path)
        resource["hash"] = "sha256:" + "0" * 64
        other["resources"] = [each for each in other["resources"] if each is resource]
        report = Package(other, basepath=str(folder)).validate()
        assert [kind for (kind,) in report.flatten(["type"])] == ["hash-count"]


def test_the_command_finds_it_valid(folder):
    command = [sys.executable, "-m", "frictionless", "validate", "datapackage.json", "--json"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert json.loads(done.stdout)["valid"] is True
