"""Our own index of the archives that a release holds: the third reader of them, and the same answers from both.

It is held against the dataset's own names: what is current is current, what is former leads to its taxon, and what is
no plain synonym is never settled.
"""

from __future__ import annotations

import pytest

from sporeproof.release.formats.registry import all_formats
from tests.outside.index_of import answers, otherwise
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition


def archive_of(name, content) -> bytes:
    (data,) = all_formats()[name].write(content).values()
    return data


@pytest.mark.parametrize("name", ["dwca", "coldp"])
def test_our_own_index_of_it_answers_as_the_dataset_does(name, real, tmp_path):
    said, found = answers(archive_of(name, real), real, tmp_path)
    assert said[0].startswith(f"{len(real.rows['names'])} usages indexed")
    assert real.words["title"] in said[2]
    assert list(otherwise(found)) == []
    assert len(found) > 200


@pytest.mark.parametrize("name", ["dwca", "coldp"])
def test_the_index_never_settles_what_is_no_plain_synonym(name, form, tmp_path):
    def change(e):
        e.entries["F9001"]["former_names"] = [
            "Fictum vulgare",
            {"name": "Fictum comune", "kind": "misspelling"},
            {"name": "Fictum magnum", "kind": "misapplied"},
        ]

    content = content_of(edition(form, change), form, WORDS)
    _, found = answers(archive_of(name, content), content, tmp_path)
    outcomes = {row["name"]: verdict.outcome for row, verdict in found}
    assert outcomes["Fictum vulgare"] == "renamed"
    assert (outcomes["Fictum comune"], outcomes["Fictum magnum"]) == ("split", "doubtful")
    assert list(otherwise(found)) == []
