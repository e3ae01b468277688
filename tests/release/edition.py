"""A small invented edition of the data, and other editions made from it by one change. No fungus here is real."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from sporeproof.form.load import Form
from sporeproof.names.answers import Recorded
from sporeproof.names.outcome import filled
from sporeproof.records.entry import Entry
from sporeproof.release.publish import Published, publish
from sporeproof.tables.build import Facts, Tables, build
from sporeproof.tables.resolve import Checklist
from tests.conftest import ROOT

WORDS = {
    "name": "fernhollow-data",
    "title": "The checklist of the Fernhollow Fungus Group",
    "description": "Invented. It never replaces a competent person.",
    "licence": {"name": "CC-BY-4.0", "title": "CC BY 4.0", "path": "https://creativecommons.org/licenses/by/4.0/"},
    "contributors": [{"title": "The Fernhollow Fungus Group", "roles": ["author"]}],
}
ENTRIES = """
- id: F9001
  name: Fictum commune
  authorship: Fern.
  rank: species
  family: Fictaceae
  vernacular: {en: [Common Fiction]}
  former_names: [Fictum vulgare]
  edibility:
    verdict: edible-with-conditions
    needs: [cook-thoroughly, discard-stems]
    cautions: [deadly-confusion, raw-upsets]
    accept_only: {stage: [mature], cap-width: [30, 70]}
    opinions: [{verdict: edible-with-conditions, source: common-practice}]
  uses: [tinder]
  substrate: [dead-wood]
  hosts: {usual: [Fagus]}
  season: {from: 11, to: 2, peak: [12]}
  region: GB
  characters:
    body: cap-and-stem
    ring: {is: present, source: [common-practice]}
    spore-print: rusty-brown
    cap-width: [30, 70]
  confusions:
    - {with: Fictum letale, told_apart_by: [ring], hints: [smell], note: "Both, in one tuft", source: [common-practice]}
  not_confused_with:
    - {with: Fictum dubium, because: Another world, source: common-practice}
  sources: {characters: [from-memory], setting: [from-memory]}
  review: {state: unreviewed}
- id: F9002
  name: Fictum letale
  rank: species
  edibility:
    verdict: deadly
    syndromes: [hepatotoxic-amatoxin]
    opinions: [{verdict: deadly, source: fern-2001}]
  characters: {body: cap-and-stem, ring: absent}
  confusions:
    - {with: Fictum commune, source: [fern-2001]}
  review: {state: unreviewed}
- id: F9003
  name: Fictum dubium
  rank: species
  edibility: {verdict: disputed, severity: severe, opinions: [{verdict: disputed, source: from-memory}]}
  review: {state: unreviewed}
- id: F9004
  name: Fictum vetus
  rank: species
  edibility: {verdict: poisonous, opinions: [{verdict: poisonous, source: common-practice}]}
  review: {state: unreviewed}
- id: F9005
  name: Fictum bonum
  rank: species
  edibility: {verdict: edible, opinions: [{verdict: edible, source: from-memory}]}
  review: {state: unreviewed}
"""
PROTECTIONS = """
- instrument: The Fernhollow Act
  section: section 1
  name_as_listed: Fictum dubium
  territories: [GB-ENG]
  acts: [pick, sell]
  source: {source: from-memory, recalls: fern-2001}
"""
# The onsets of the syndromes stand in the schema and cite the sources of the real dataset.
SOURCES = (
    (ROOT / "dataset/sources.yaml").read_text("utf-8")
    + """
fern-2001: {kind: published, citation: "Fern 2001, invented", year: 2001}
"""
)


@dataclass
class Edition:
    """What a change may touch: the entries by id, the companions, and the rows that were built."""

    entries: dict[str, dict[str, Any]]
    protections: list[dict[str, Any]]
    sources: dict[str, dict[str, Any]]
    retired: dict[str, dict[str, Any]] = field(default_factory=dict)
    rows: dict[str, list[tuple[Any, ...]]] = field(default_factory=dict)

    def retire(self, id: str, **words: Any) -> None:
        """Take an entry out and put its id among the retired ones."""
        gone = self.entries.pop(id)
        self.retired[id] = {"was": gone["name"], "since": "0.2.0", "because": "One and the same", **words}

    def confused(self, id: str) -> dict[str, Any]:
        """Return the first confusion of an entry."""
        return self.entries[id]["confusions"][0]


Change = Callable[[Edition], object]


def edition(form: Form, change: Change = lambda _: None) -> Tables:
    """Return the tables of the base edition after one change; rows that it gives replace those of a table."""
    entries = {each["id"]: each for each in yaml.safe_load(ENTRIES)}
    made = Edition(entries, yaml.safe_load(PROTECTIONS), yaml.safe_load(SOURCES))
    change(made)
    read = [Entry(f"dataset/taxa/{each['name']}.yaml", "", each) for each in made.entries.values()]
    checklist = Checklist(read, made.retired)
    tables = build(Facts(checklist, form, made.sources, made.protections))
    return {**filled(tables, Recorded([]), form), **made.rows}


def published(form: Form, out: Path, change: Change = lambda _: None, previous: Path | None = None) -> Published:
    """Publish an edition below a folder."""
    return publish(edition(form, change), form, WORDS, "The licence.\n", previous, out)
