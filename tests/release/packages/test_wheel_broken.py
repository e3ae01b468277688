"""The Python package with damaged data: a part that is missing or unknown never reads as no, as false or as edible."""

from __future__ import annotations

import sys

import pytest

from sporeproof.release.json_schema import taxon_schema
from tests.release.packages.installed import changed, imported, replaced

KEYS = ["verdict", "needs", "cautions", "accept_only", "confusions", "answered", "syndromes", "opinions", "evidence",
        "severity", "grade", "grade_reason", "review_state", "verdict_source_ids"]  # fmt: skip


def taxon_changed(change):
    return changed("taxa/F9001.json", change)


def edibility_changed(change):
    return taxon_changed(lambda record: change(record["edibility"]))


COMMON = b'"fictum commune":[["F9001","current"]]'
SPOILED = {
    **{f"without {key}": edibility_changed(lambda told, key=key: told.pop(key)) for key in KEYS},
    "without the whole block": taxon_changed(lambda record: record.pop("edibility")),
    "without its review": taxon_changed(lambda record: record.pop("review")),
    "without the safety note": taxon_changed(lambda record: record.pop("safety_note")),
    "a verdict that is null": edibility_changed(lambda told: told.update(verdict=None)),
    "a verdict that is a word": edibility_changed(lambda told: told.update(verdict="edible")),
    "an unknown verdict": edibility_changed(lambda told: told["verdict"].update(id="delicious")),
    "an unknown verdict of another": edibility_changed(lambda told: told["confusions"][0]["with"].update(verdict="")),
    "an unknown opinion": edibility_changed(lambda told: told["opinions"][0].update(verdict="tasty")),
    "needs that are null": edibility_changed(lambda told: told.update(needs=None)),
    "a need that is a word": edibility_changed(lambda told: told.update(needs=["cook"])),
    "another taxon": taxon_changed(lambda record: record.update(id="F9002")),
    "another version": taxon_changed(lambda record: record.update(release="0.0.9")),
    "a newer form": taxon_changed(lambda record: record.update(schema=2)),
    "reviewed by this file alone": taxon_changed(lambda record: record["review"].update(reviewed=True)),
    "reviewed by the index alone": changed("index.json", lambda index: index["reviewed"].append("F9001")),
    "an index of a newer form": changed("index.json", lambda index: index.update(schema=2)),
    "an index with an end that cannot be read": changed("index.json", lambda index: index["retired"].update(F1=None)),
    "an index without verdicts": changed("index.json", lambda index: index.pop("verdicts")),
    "a name that leads to a word": replaced("names.json", COMMON, b'"fictum commune":["F9001"]'),
    "a name that leads to no list": replaced("names.json", COMMON, b'"fictum commune":{"F9001"'),
    "a name that leads to no id": replaced("names.json", COMMON, b'"fictum commune":[["F9009","current"]]'),
    "a name that leads out of the folder": replaced("names.json", COMMON, b'"fictum commune":[["../index","current"]]'),
    "names that were cut": lambda records: (records / "names.json").write_bytes(b'{\n"fictum a":[["F9001","current"]]'),
    "no names": lambda records: (records / "names.json").unlink(),
    "no file": lambda records: (records / "taxa/F9001.json").unlink(),
    "a cut file": lambda records: (records / "taxa/F9001.json").write_bytes(b'{"schema":1,'),
    "an empty file": lambda records: (records / "taxa/F9001.json").write_bytes(b""),
    "no text": lambda records: (records / "taxa/F9001.json").write_bytes(b"\xff\xfe{}"),
    "null": lambda records: (records / "taxa/F9001.json").write_bytes(b"null"),
    "swapped": lambda records: (records / "taxa/F9005.json").replace(records / "taxa/F9001.json"),
    "no index": lambda records: (records / "index.json").unlink(),
}


@pytest.mark.parametrize("spoil", SPOILED.values(), ids=SPOILED)
def test_broken_data_says_so_and_nothing_else(small, tmp_path, spoil):
    package = imported(small, tmp_path, spoil)
    with pytest.raises(package.BrokenData, match="Nothing is said of any fungus"):
        package.find("Fictum commune")


def test_broken_data_is_no_lookup_error_that_a_program_may_take_for_not_recorded(invented):
    assert not issubclass(invented.BrokenData, (LookupError, ValueError, OSError))


def test_a_key_that_a_newer_version_adds_does_no_harm(small, tmp_path):
    def add(record):
        record["new"] = record["edibility"]["new"] = {"any": 1}

    assert imported(small, tmp_path, taxon_changed(add)).find("Fictum commune")[0].verdict.needs


def test_what_a_record_must_hold_is_what_the_schema_promises(form, invented):
    """Against ``json/taxon.schema.json``: nothing is wanted that it does not promise; of a verdict, all is."""
    schema, shapes = taxon_schema(form), sys.modules[f"{invented.__name__}._shapes"]
    assert shapes.TAXON.keys() == set(schema["required"])
    assert shapes.EDIBILITY.keys() == set(schema["properties"]["edibility"]["required"]) == set(KEYS)
    confusion = schema["properties"]["edibility"]["properties"]["confusions"]["items"]
    assert shapes.CONFUSION.keys() == set(confusion["required"])
    assert shapes.LEVEL.keys() == set(schema["properties"]["proof"]["items"]["required"])
