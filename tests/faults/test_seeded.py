"""The seeded faults: a sample on the real dataset, all on a small one, and that the runner cannot be satisfied cheaply.

The small dataset is invented.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace

import pytest

from sporeproof.checks.registry import Rule, all_rules
from sporeproof.findings import Finding, Level, Mark, Problem
from sporeproof.questions import opened
from sporeproof.run import recorded
from tests.checks.cases import Case, add_entry, lay
from tests.conftest import ROOT
from tests.faults import run, seeds
from tests.faults.run import Outcome, Trials, hit, names, passed, report, tried
from tests.faults.seeds import ACCEPTED, DELETED, DROPPED, KINDS, SWAPPED, WIDENED, YOUNG, Fault, Seeds, seeds_of

# Of each kind every so many faults is tried here; `python -m tests.faults.run` tries all.
EVERY = 25
UNLISTED = "safety.unlisted-confusion"

EDIBLE = """id: F9001
name: Fictum edule
edibility: {verdict: edible, accept_only: {ring: [present]}}
characters:
  body: cap-and-stem
  hymenophore: gills
  ring: [present, absent]
  spore-print: {is: white, source: [common-practice]}
  spore-length: [5, 6]
confusions:
  - {with: Fictum vetus, told_apart_by: [spore-print, spore-length], note: It kills.}
  - {with: Fictum longinquum}
"""
DEADLY = """id: F9002
name: Fictum letale
former_names: [Fictum vetus]
edibility: {verdict: deadly}
characters:
  body: {is: cap-and-stem, source: [common-practice]}
  hymenophore: {young: [gills, smooth], mature: gills}
  spore-print: {young: [black], mature: black}
  spore-length: [10, 12]
confusions:
  - {with: F9001}
  - {with: Fictum aliud, told_apart_by: [spore-print, spore-length]}
"""
UNLIKE = """id: F9003
name: Fictum longinquum
edibility: {verdict: poisonous}
characters: {body: crust, hymenophore: spines, ring: absent}
"""
OTHER = """id: F9004
name: Fictum aliud
edibility: {verdict: poisonous}
characters: {body: cap-and-stem, hymenophore: pores, spore-print: white, spore-length: [2, 3]}
"""
SUSPECTS = """surface: hymenophore
suspects:
  gills: {taxa: [Fictum vetus, Fictum absens], young: [body, hymenophore], mature: [body]}
"""
THRESHOLD = "similarity_threshold: 0.95\n"


@pytest.fixture(scope="module")
def small_root(tmp_path_factory):
    root = tmp_path_factory.mktemp("small")
    case = Case("small", {"schema/suspects.yaml": SUSPECTS.encode(), "dataset/package.yaml": THRESHOLD.encode()})
    for text in (EDIBLE, DEADLY, UNLIKE, OTHER):
        add_entry(case, text)
    lay(case, root)
    return root


@pytest.fixture(scope="module")
def small(small_root):
    return opened(small_root)


@pytest.fixture(scope="module")
def made(small):
    return seeds_of(small)


@pytest.fixture(scope="module")
def trials(small, small_root):
    return Trials(small, recorded(small_root))


def of(kind: str, made: Seeds) -> list[Fault]:
    return [each for each in made.faults if each.kind == kind]


def characters(fault: Fault, file: str) -> dict:
    return fault.changed[f"dataset/taxa/{file}.yaml"]["characters"]


@pytest.fixture(scope="module")
def real():
    return opened(ROOT)


@pytest.fixture(scope="module")
def real_seeds(real):
    return seeds_of(real)


@pytest.mark.parametrize("kind", KINDS)
def test_a_sample_of_the_faults_of_the_real_dataset_is_found(real, real_seeds, kind):
    sample = of(kind, real_seeds)[::EVERY]
    outcomes = tried(Trials(real, recorded(ROOT)), sample)
    assert sample
    assert [(each.fault.says, each.missed) for each in outcomes if each.missed] == []


# What is made of the small dataset.


def test_making_faults_leaves_the_entries_as_they_are(small_root):
    read = opened(small_root)
    before = {entry.file: deepcopy(entry.value) for entry in read.dataset.entries}
    assert seeds_of(read).faults
    assert {entry.file: entry.value for entry in read.dataset.entries} == before


def test_so_many_faults_of_each_kind_are_made(made):
    counts = {kind: len(of(kind, made)) for kind in KINDS}
    assert counts == {DROPPED: 1, SWAPPED: 1, WIDENED: 6, ACCEPTED: 1, DELETED: 1, YOUNG: 1}


def test_a_dropped_confusion_is_gone_from_both_sides_under_any_name(made):
    (fault,) = of(DROPPED, made)
    left = {file: [each["with"] for each in value["confusions"]] for file, value in fault.changed.items()}
    assert left == {
        "dataset/taxa/fictum-edule.yaml": ["Fictum longinquum"],
        "dataset/taxa/fictum-letale.yaml": ["Fictum aliud"],
    }


def test_a_confusion_that_nothing_recorded_suggests_is_told_as_a_blind_spot(made):
    assert made.blind == ["Fictum edule / Fictum longinquum"]


def test_what_cannot_be_made_is_told(made):
    assert made.impossible == [f"{DELETED}: no entry of a dangerous taxon bears the name Fictum absens"]


def test_a_swap_changes_the_verdict_alone(made, small):
    (fault,) = of(SWAPPED, made)
    (value,) = fault.changed.values()
    before = small.one_of("Fictum letale").value
    assert value["edibility"] == {"verdict": "edible"}
    assert {**value, "edibility": before["edibility"]} == before


def test_a_claim_is_widened_at_every_stage_and_by_a_range_that_just_reaches(made):
    by_says = {each.says: each for each in of(WIDENED, made)}
    states = by_says["Fictum edule / Fictum letale: spore-print of Fictum letale"]
    assert characters(states, "fictum-letale")["spore-print"] == {
        "young": ["black", "white"],
        "mature": ["black", "white"],
    }
    sizes = by_says["Fictum edule / Fictum letale: spore-length of Fictum letale"]
    assert characters(sizes, "fictum-letale")["spore-length"] == [6, 12]


def test_between_two_of_a_kind_each_is_widened_in_turn(made):
    mutual = [each for each in of(WIDENED, made) if each.says.startswith("Fictum letale / Fictum aliud")]
    widened = [characters(each, file) for each, file in zip(mutual, ("fictum-aliud", "fictum-letale") * 2, strict=True)]
    assert widened[0]["spore-print"] == ["white", "black"]
    assert widened[1]["spore-print"] == {"young": ["black", "white"], "mature": ["black", "white"]}
    assert widened[2]["spore-length"] == [2, 10]
    assert widened[3]["spore-length"] == [3, 12]


def test_the_accepted_state_is_one_that_the_entry_lacks(made, small):
    (fault,) = of(ACCEPTED, made)
    states = next(iter(fault.changed.values()))["edibility"]["accept_only"]["ring"]
    assert states[0] == "present"
    assert len(states) == 2
    assert states[1] in small.form.characters["ring"].states
    assert states[1] not in ("present", "absent")


def test_a_suspect_loses_its_entry_or_its_young_however_they_were_written(made):
    (gone,), (aged,) = of(DELETED, made), of(YOUNG, made)
    assert list(gone.changed.values()) == [None]
    kept = characters(aged, "fictum-letale")
    assert kept["body"] == {"mature": "cap-and-stem"}
    assert kept["hymenophore"] == {"mature": "gills"}
    assert kept["spore-print"] == {"young": ["black"], "mature": "black"}


def test_all_of_them_are_found_and_counted(small_root, capsys):
    assert run.main(small_root, cores=1) == 0
    printed = capsys.readouterr().out
    for kind, count in ((DROPPED, 1), (SWAPPED, 1), (WIDENED, 6), (ACCEPTED, 1), (DELETED, 1), (YOUNG, 1)):
        assert f"| {kind} | {count} / {count} | " in printed
    assert "| all | 11 / 11 |" in printed
    assert "MISSED" not in printed


def test_several_cores_say_the_same_as_one(trials, made):
    assert tried(trials, made.faults, cores=2) == tried(trials, made.faults)


# What the runner must not take for found.


def unseen(small) -> Fault:
    """A change that no rule can see: another wording of a note."""
    entry = small.one_of("Fictum edule")
    blocks = [{**each, "note": "It kills quickly."} for each in entry.value["confusions"]]
    value = seeds.with_value(entry.value, blocks, "confusions")
    return Fault(DROPPED, "another note", {entry.file: value}, frozenset({entry.file}), ("",), entry.name)


def test_a_fault_that_no_rule_can_see_is_missed_and_told_so(trials, small, made):
    outcomes = tried(trials, [*made.faults, unseen(small)])
    lines = list(report(outcomes, made))
    assert f"MISSED: {DROPPED}: another note: nothing new was found" in lines
    assert any(line.startswith(f"| {DROPPED} | 1 / 2 | ") for line in lines)
    assert "| all | 11 / 12 | |" in lines
    assert not passed(outcomes)


def test_a_missed_fault_is_the_exit_code(small_root, small, made, monkeypatch, capsys):
    monkeypatch.setattr(run, "seeds_of", lambda on: replace(made, faults=[*made.faults, unseen(small)]))
    assert run.main(small_root, cores=1) == 1
    assert "another note" in capsys.readouterr().out


def test_a_kind_without_a_fault_is_no_success(trials, made):
    outcomes = tried(trials, [each for each in made.faults if each.kind != YOUNG])
    assert f"NOTHING TO TRY: {YOUNG}" in list(report(outcomes, made))
    assert not passed(outcomes)


@pytest.mark.parametrize(
    ("kind", "codes"),
    [
        (DROPPED, {UNLISTED}),
        (WIDENED, {"safety.claim-does-not-separate", "safety.claim-is-one-way"}),
        (ACCEPTED, {"entry.accepts-what-it-lacks"}),
        (DELETED, {"safety.missing-suspect"}),
        (YOUNG, {"safety.missing-suspect"}),
    ],
)
def test_without_its_rules_a_fault_is_missed(small, small_root, made, kind, codes):
    rules = [each for each in all_rules().values() if each.family != run.ASIDE and each.code not in codes]
    outcomes = tried(Trials(small, recorded(small_root), rules), of(kind, made))
    assert codes <= all_rules().keys()
    assert outcomes
    assert all(each.missed for each in outcomes)


def test_what_stood_before_is_not_found(trials, made):
    """The very finding that is asked for counts only where the change has brought it."""
    (fault,) = of(DROPPED, made)
    (away,) = of(DELETED, made)
    assert trials.outcome(replace(fault, changed={})).missed == "nothing new was found"
    standing = replace(away, changed={}, about="Fictum absens")
    assert trials.outcome(standing).missed == "nothing new was found"
    before = trials.before[standing.judged, standing.whole]
    assert [code for code, _, message in before if "Fictum absens" in message] == list(standing.codes)


def rule(level: Level, find) -> Rule:
    return Rule(UNLISTED, (level,), "suspects", find, "")


def tells(suspected, form):
    others = ", ".join(each.name for each in suspected.named(suspected.unanswered))
    yield Problem(suspected.entry.at("name"), f"Not listed: {others}.", "")


def stops(suspected, form):
    raise ValueError(", ".join(each.name for each in suspected.named(suspected.unanswered)))
    yield


def test_a_notice_is_not_enough(small, small_root, made):
    answers = recorded(small_root)
    assert not Trials(small, answers, [rule(Level.WARNING, tells)]).outcome(*of(DROPPED, made)).missed
    outcome = Trials(small, answers, [rule(Level.NOTICE, tells)]).outcome(*of(DROPPED, made))
    assert outcome.missed == f"only this is new: {UNLISTED} (notice)"


def test_a_rule_that_stops_is_never_found_even_beside_one_that_finds(small, small_root, made):
    rules = [rule(Level.ERROR, tells), rule(Level.ERROR, stops)]
    outcome = Trials(small, recorded(small_root), rules).outcome(*of(DROPPED, made))
    assert "stopped here with ValueError" in outcome.missed


def finding(**more) -> Finding:
    given = {"code": UNLISTED, "level": Level.ERROR, "message": "Fictum letale (deadly)", "why": "", "mend": ""}
    return Finding(**{**given, "at": Mark("a.yaml", 3, 5), **more})


FAULT = Fault(
    DROPPED, "", {}, frozenset(), (UNLISTED,), "Fictum letale", file="a.yaml", levels=frozenset({Level.ERROR})
)


@pytest.mark.parametrize(
    "other",
    [
        {"code": "reference.not-returned"},
        {"code": "run.rule-crashed"},
        {"level": Level.WARNING},
        {"at": Mark("b.yaml", 3, 5)},
        {"message": "Fictum letaleum (deadly)"},
    ],
)
def test_code_level_place_and_name_must_all_be_right(other):
    assert hit(FAULT, finding())
    assert not hit(FAULT, finding(**other))


def test_a_claim_is_found_at_its_own_place():
    at = replace(FAULT, file="", at=Mark("a.yaml", 3, 5))
    assert hit(at, finding())
    assert not hit(at, finding(at=Mark("a.yaml", 4, 5)))


def test_a_name_is_a_whole_word():
    assert names(finding(message="`ring` is said to"), "ring")
    assert not names(finding(message="`ring-type` is said to"), "ring")
    assert names(finding(message="", name="Fictum edule"), "Fictum edule")


def test_counts_are_by_kind_and_by_what_found_it():
    found = Outcome(FAULT, frozenset({"a.b (error)"}), "")
    both = Outcome(FAULT, frozenset({"a.b (error)", "c.d (warning)"}), "")
    lines = list(report([found, both, Outcome(FAULT, frozenset(), "why")], Seeds(blind=["x / y"])))
    assert f"| {DROPPED} | 2 / 3 | a.b (error) 2, c.d (warning) 1 |" in lines
    assert f"| {SWAPPED} | 0 / 0 |  |" in lines
    assert "Blind spots, left out: 1" in lines
    assert "  x / y" in lines
