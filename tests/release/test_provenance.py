"""Whence a version comes: counted and summed here by other means than it was."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections import Counter

from sporeproof.release.formats.to_csv import to_csv
from tests.conftest import ROOT
from tests.release.edition import published


def test_the_counts_are_those_of_the_files(real):
    rows = list(csv.DictReader(io.StringIO(to_csv(real)["csv/taxa.csv"].decode())))
    counts = real.provenance["counts"]
    assert counts["taxa"] == len(rows) == len(list((ROOT / "dataset/taxa").glob("*.yaml")))
    for column in ("verdict", "review_state", "evidence"):
        assert {word: n for word, n in counts[column].items() if n} == Counter(row[column] for row in rows)
    assert counts["review_state"]["reviewed"] == 0


def test_the_hash_of_the_content_is_that_of_its_checksums(real):
    files = {path: data for path, data in to_csv(real).items() if path != "csv/notices.csv"}
    lines = "".join(f"{hashlib.sha256(files[path]).hexdigest()}  {path}\n" for path in sorted(files))
    assert real.provenance["content"]["sha256"] == hashlib.sha256(lines.encode()).hexdigest()


def test_checklists_are_counted_with_their_days(real):
    rows = csv.DictReader(io.StringIO(to_csv(real)["csv/names.csv"].decode()))
    asked = Counter((row["checked_against"], row["obtained"]) for row in rows)
    told = real.provenance["checklists"]
    assert {(each["checklist"], each["obtained"]): each["names"] for each in told} == asked
    assert all("2026-01-01" <= each["first"] <= each["last"] for each in told)


def test_the_schema_is_dated_by_the_version_that_brought_it(form, tmp_path):
    one = published(form, tmp_path / "a")
    two = published(form, tmp_path / "b", lambda e: e.entries["F9001"].update(family="Otheraceae"), one.folder)
    assert two.version == "0.2.0"
    found = json.loads((two.folder / "provenance.json").read_bytes())
    assert (found["version"], found["schema"]["since"]) == ("0.2.0", "0.1.0")
