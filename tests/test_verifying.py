"""`verify`: a package is judged again, and computed again, from the tables that it holds.

Whoever spoils a package can spoil all its files alike. So the spoilt tables here are whole: what the engine says of
them is computed from the spoilt facts, and every file would agree with every other one.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from sporeproof import verifying
from sporeproof.checks.registry import released_rules
from sporeproof.findings import SAFETY_NOTE, Level
from sporeproof.release.content import Content
from sporeproof.tables.contradictions import contradictions
from sporeproof.tables.rebuilt import named, rebuilt
from sporeproof.verifying import PROVES_NOT, WHO_NOT, VerifiedAll, again, computed
from tests.release.conftest import content_of

Rows = dict[str, list[dict[str, Any]]]


@pytest.fixture(scope="module")
def words(dataset):
    return dataset.companions["package"].value


@pytest.fixture(scope="module")
def tables(dataset, form):
    """The tables of the real dataset, as a release holds them."""
    return computed(dataset, form)


@pytest.fixture(scope="module")
def whole(tables, words, form) -> Content:
    return content_of(tables, form, words)


@pytest.fixture(scope="module")
def sound(whole, form) -> VerifiedAll:
    return again(whole, form)


def test_the_real_dataset_is_sound_and_its_warnings_are_counted(sound):
    assert sound.faults == []
    assert sound.errors == []
    assert sound.exit_code == 0
    warnings = [each for each in sound.findings if each.level is Level.WARNING]
    assert sound.counts == {"errors": 0, "warnings": len(warnings)}
    assert f"The safety rules have {len(warnings)} warnings, which stop no release." in sound.notes


def test_what_the_rules_cannot_judge_is_told(sound, dataset):
    lone = [each.name for each in dataset.entries if "no_dangerous_confusion" in each.value]
    (note,) = (each for each in sound.notes if each.startswith("Edible, and nobody wrote down a dangerous taxon"))
    assert lone
    assert note.endswith(f": {', '.join(lone)}.")


def test_what_the_engine_says_of_the_real_taxa_cannot_be_changed(tables, form):
    """The lists and grades of every format may agree; the entries do not."""
    rows = {table: [dict(row) for row in found] for table, found in named(tables, form).items()}
    graded = next(row for row in rows["taxa"] if row["name"] == "Boletus edulis")
    graded["grade"] = list(form.vocabularies["grades"])[-1]
    item = next(row for row in rows["proofs"] if row["taxon_id"] == graded["taxon_id"])
    item["accept"] = "|".join(form.characters[item["character_id"]].states)
    gone = rows["unexcluded"].pop(0)
    found = [each.partition(";")[0] for each in contradictions(rows, tables, form)]
    names = {row["taxon_id"]: f"{row['taxon_id']} ({row['name']})" for row in rows["taxa"]}
    whom = names[graded["taxon_id"]]
    assert found == [
        f"taxa: {whom}: grade is {graded['grade']}",
        f"proofs: {whom}, {item['level']}, {item['position']}: accept is {item['accept']}",
        f"unexcluded: {names[gone['taxon_id']]}, {gone['level']}, {names[gone['with_taxon_id']]} is missing, "
        "though it follows from what is recorded.",
    ]


# What a changed table must trip, rule by rule. Each change is made on a taxon of its own.


class Spoiling:
    """The facts of a release to be changed, and what to ask of them."""

    def __init__(self, rows: Rows, form):
        self.rows, self.form = rows, form
        self.ids = {row["name"]: row["taxon_id"] for row in rows["taxa"]}

    def drop(self, table: str, **cells: Any) -> None:
        """Take out every row with these cells; there must be one."""
        kept = [row for row in self.rows[table] if not cells.items() <= row.items()]
        assert len(kept) < len(self.rows[table]), (table, cells)
        self.rows[table] = kept

    def change(self, table: str, new: dict[str, Any], **cells: Any) -> None:
        """Change every row with these cells; there must be one."""
        found = [row for row in self.rows[table] if cells.items() <= row.items()]
        assert found, (table, cells)
        for row in found:
            row.update(new)

    def claim(self, one: str, other: str, character: str) -> None:
        """Say of a pair that a character tells it apart."""
        ids = {"taxon_id": self.ids[one], "with_taxon_id": self.ids[other]}
        self.rows["distinctions"].append(ids | {"character_id": character, "claimed": True, "separates": None})

    def recorded(self, name: str) -> set[str]:
        """Return the characters that are on record of a taxon."""
        rows = [*self.rows["characters"], *self.rows["measurements"]]
        return {row["character_id"] for row in rows if row["taxon_id"] == self.ids[name]}


def called_edible(it: Spoiling) -> str:
    it.change("taxa", {"verdict": "edible"}, taxon_id=it.ids["Amanita virosa"])
    return "Amanita virosa"


def opinions_dropped(it: Spoiling) -> str:
    it.drop("opinions", taxon_id=it.ids["Amanita phalloides"])
    return "Amanita phalloides"


def cautions_dropped(it: Spoiling) -> str:
    it.drop("cautions", taxon_id=it.ids["Fistulina hepatica"])
    return "Fistulina hepatica"


def raw_poison_untold(it: Spoiling) -> str:
    it.drop("cautions", taxon_id=it.ids["Leccinum scabrum"], id="poisonous-raw")
    return "Leccinum scabrum"


def deadly_double_untold(it: Spoiling) -> str:
    it.drop("cautions", taxon_id=it.ids["Agaricus arvensis"], id="deadly-confusion")
    return "Agaricus arvensis"


def law_untold(it: Spoiling) -> str:
    it.drop("cautions", taxon_id=it.ids["Hericium erinaceus"], id="protected-by-law")
    return "Hericium erinaceus"


def conditions_dropped(it: Spoiling) -> str:
    for table in ("needs", "accept_only", "accept_ranges"):
        it.drop(table, taxon_id=it.ids["Sparassis crispa"])
    return "Sparassis crispa"


def condition_kept_quiet(it: Spoiling) -> str:
    it.change("taxa", {"verdict": "edible"}, taxon_id=it.ids["Imleria badia"])
    it.change("opinions", {"verdict": "edible"}, taxon_id=it.ids["Imleria badia"])
    return "Imleria badia"


def old_ones_accepted(it: Spoiling) -> str:
    it.drop("accept_only", taxon_id=it.ids["Lycoperdon perlatum"], character_id="stage")
    return "Lycoperdon perlatum"


def suspect_half_known(it: Spoiling) -> str:
    it.drop("characters", taxon_id=it.ids["Galerina sulciceps"], character_id="ring")
    return "Galerina sulciceps"


def deadly_double_unlisted(it: Spoiling) -> str:
    one, other = it.ids["Pleurotus ostreatus"], it.ids["Omphalotus japonicus"]
    it.drop("confusions", taxon_id=one, with_taxon_id=other)
    it.rows["confusions"] = [r for r in it.rows["confusions"] if (r["taxon_id"], r["with_taxon_id"]) != (other, one)]
    return "Pleurotus ostreatus"


def deadly_double_dismissed(it: Spoiling) -> str:
    pair = {"taxon_id": it.ids["Armillaria mellea"], "with_taxon_id": it.ids["Trogia venenata"]}
    it.change("confusions", {"listed": "dismissed", "note": "Another world", "hints": None}, **pair)
    return "Armillaria mellea"


def claimed_in_vain(it: Spoiling) -> str:
    it.claim("Kuehneromyces mutabilis", "Galerina marginata", "body")
    return "Kuehneromyces mutabilis"


def claimed_of_some(it: Spoiling) -> str:
    pair = {"taxon_id": it.ids["Amanita rubescens"], "with_taxon_id": it.ids["Amanita pantherina"]}
    one_way = next(r for r in it.rows["distinctions"] if pair.items() <= r.items() and r["separates"] == "one-way")
    it.change("distinctions", {"claimed": True}, **pair, character_id=one_way["character_id"])
    return "Amanita rubescens"


def claimed_unknown(it: Spoiling) -> str:
    unknown = next(id for id in it.form.characters if id not in it.recorded("Cortinarius rubellus"))
    it.claim("Collybia nuda", "Cortinarius rubellus", unknown)
    return "Collybia nuda"


SPOILT: dict[str, Callable[[Spoiling], str]] = {
    "safety.opinion-stricter-than-verdict": called_edible,
    "safety.dangerous-without-opinion": opinions_dropped,
    "safety.edible-without-caution": cautions_dropped,
    "safety.need-without-caution": raw_poison_untold,
    "safety.deadly-confusion-unmarked": deadly_double_untold,
    "safety.protected-without-caution": law_untold,
    "safety.condition-missing": conditions_dropped,
    "safety.condition-on-plain-edible": condition_kept_quiet,
    "safety.need-wants-a-stage": old_ones_accepted,
    "safety.missing-suspect": suspect_half_known,
    "safety.unlisted-confusion": deadly_double_unlisted,
    "safety.dismissed-deadly": deadly_double_dismissed,
    "safety.claim-does-not-separate": claimed_in_vain,
    "safety.claim-is-one-way": claimed_of_some,
    "safety.claim-not-comparable": claimed_unknown,
}


@pytest.fixture(scope="module")
def spoilt(tables, words, form) -> tuple[dict[str, str], VerifiedAll]:
    """Whom each rule must find, and what `verify` says of the tables with all the changes, computed anew."""
    rows = {table: [dict(row) for row in found] for table, found in named(tables, form).items()}
    it = Spoiling(rows, form)
    wanted = {code: spoil(it) for code, spoil in SPOILT.items()}
    assert len(set(wanted.values())) == len(wanted), "each on a taxon of its own"
    content = content_of(computed(rebuilt(it.rows, form, words), form), form, words)
    return wanted, again(content, form)


def test_there_is_a_change_for_every_rule_that_is_run_again():
    assert set(SPOILT) == {rule.code for rule in released_rules()}


def test_the_spoilt_tables_agree_with_one_another(spoilt):
    assert spoilt[1].faults == []


@pytest.mark.parametrize("code", SPOILT)
def test_a_spoilt_fact_is_found_by_its_rule(code, spoilt):
    wanted, found = spoilt
    assert wanted[code] in {each.name for each in found.findings if each.code == code}
    assert all(each.taxon_id for each in found.findings if each.code == code)


def test_what_is_spoilt_is_told_and_ends_with_1(spoilt):
    _, found = spoilt
    text = found.told("text")
    assert found.exit_code == 1
    assert f"{len(found.errors)} errors. Do not use it." in text.splitlines()[0]
    assert all(each.message in text for each in found.errors)
    assert PROVES_NOT in text


# The whole way: what opening the package says, and then all of the above.


@dataclass
class Opened:
    """What opening a package comes to, as far as `verify` asks."""

    content: Content | None
    faults: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    signer: str = ""


@pytest.fixture
def opening(monkeypatch):
    """Return a function that lets every package be opened with one result, and tells what was asked for."""
    asked: list[tuple[Any, ...]] = []

    def open_as(found: Opened) -> list[tuple[Any, ...]]:
        def verify(path, form, signers=None, identity=""):
            asked.append((path, form.folder.name, signers, identity))
            return found

        monkeypatch.setitem(sys.modules, "sporeproof.release.verify", SimpleNamespace(verify=verify))
        return asked

    return open_as


def test_what_opening_finds_and_what_the_rules_find_are_told_together(whole, words, opening, root):
    asked = opening(Opened(whole, ["xlsx: a cell differs."], ["Signed."], {"files": 3}, "release@fernhollow.example"))
    found = verifying.verify(Path("data.zip"), root, Path("signers"), "release@fernhollow.example")
    assert asked == [(Path("data.zip"), "schema", Path("signers"), "release@fernhollow.example")]
    assert (found.package, found.version) == (words["name"], whole.version)
    assert found.faults == ["xlsx: a cell differs."]
    assert found.notes[0] == "Signed."
    assert found.counts["files"] == 3
    assert found.counts["warnings"] > 0
    assert found.exit_code == 1
    assert WHO_NOT not in found.told("text")
    told = json.loads(found.told("json"))
    assert set(told) == {
        "schema", "package", "version", "faults", "findings", "notes", "counts", "signer", "safety_note"
    }  # fmt: skip
    assert told["safety_note"] == SAFETY_NOTE
    assert told["findings"][0]["taxon_id"]
    assert len(told["findings"]) == told["counts"]["warnings"] + told["counts"]["errors"]


def test_a_package_that_cannot_be_opened_ends_with_2(opening):
    opening(Opened(None, ["SHA256SUMS is missing. Take the package anew."]))
    found = verifying.verify(Path("nothing"), None)
    assert found.exit_code == 2
    assert found.told("text").startswith("The package could not be verified to the end. Do not use it.")
    assert "SHA256SUMS is missing" in found.told("text")


def test_rows_that_nothing_can_be_made_of_end_with_2_and_a_sentence(whole, form, monkeypatch):
    def stumble(*_: object) -> None:
        raise KeyError("a word of no vocabulary")

    monkeypatch.setattr(verifying, "computed", stumble)
    found = again(whole, form)
    assert found.exit_code == 2
    (fault,) = found.faults
    assert "KeyError: 'a word of no vocabulary'" in fault
    assert "Take the package anew" in fault


def test_a_package_without_a_signature_is_told_of_as_such(sound):
    text = sound.told("text")
    assert text.splitlines()[0].endswith("no fault was found.")
    assert WHO_NOT in text
    assert PROVES_NOT in text
