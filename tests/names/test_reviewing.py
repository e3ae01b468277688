"""Why a name is looked at in a review, and the edit that is proposed. The taxa are invented."""

from __future__ import annotations

import shlex
from datetime import date, timedelta

import pytest

from sporeproof.names import patch
from sporeproof.names.age import Limit
from sporeproof.names.answers import Answer, Recorded
from sporeproof.names.choices import Choices
from sporeproof.names.outcome import uses
from sporeproof.names.reviewing import KINDS, choices_of, reviewed, with_refusals
from sporeproof.tables.resolve import Checklist
from tests.names.invented import readings_of

UNREVIEWED = "review: {state: unreviewed}\n"
LIMIT = Limit(date(2026, 11, 26), timedelta(days=90))


def entry(name: str, id: str, verdict: str = "unknown", more: str = "") -> str:
    return f"id: {id}\nname: {name}\nrank: species\n{more}edibility: {{verdict: {verdict}}}\n{UNREVIEWED}"


def said(outcome: str, accepted: str = "", name: str = "Fictum altum", **more: str) -> Answer:
    return Answer(name, "", outcome, accepted, **{"obtained": "live", "checked_on": "2026-11-25", **more})


ALTUM = entry("Fictum altum", "F9001")


def review(form, answers, texts=None, before=None, since="0.2.0"):
    readings = readings_of(texts or {"fictum-altum": ALTUM}, form)
    checklist = Checklist(each.entry for each in readings if each.entry)
    found = list(uses(checklist.entries, checklist, Recorded(answers), form))
    made = reviewed(found, before or {}, LIMIT, checklist, form, since)
    chosen = Choices(choices_of(made, found), since)
    plan = patch.plan(readings, checklist, Recorded(answers), form, unconfirmed=True, choices=chosen)
    return list(with_refusals(made, plan.refused))


KINDS_SEEN = [
    ("split", [said("split", candidates="Fictum altius; Mendax altus")]),
    ("homonym", [said("homonym", candidates="Fictum altius; Mendax altus")]),
    ("renamed", [said("renamed", "Mendax altus")]),
    ("doubtful", [said("doubtful", "Fictum altum")]),
    ("higher-only", [said("higher-only", "Fictum")]),
    ("respelled", [said("respelled", "Fictum altius")]),
    ("unknown", [said("unknown")]),
    ("unasked", []),
    ("too-old", [said("current", "Fictum altum", checked_on="2026-01-01")]),
    ("differ", [said("current", "Fictum altum"), said("renamed", "Mendax altus", obtained="compiled")]),
]


@pytest.mark.parametrize(("kind", "answers"), KINDS_SEEN, ids=[row[0] for row in KINDS_SEEN])
def test_each_kind_is_seen(kind, answers, form):
    assert [each.kind for each in review(form, answers)] == [kind]


def test_all_kinds_are_tried():
    assert set(KINDS) - {row[0] for row in KINDS_SEEN} == {"merged", "elsewhere", "back"}


def test_a_settled_name_is_not_looked_at(form):
    assert review(form, [said("current", "Fictum altum")]) == []


@pytest.mark.parametrize(
    ("answer", "kinds"),
    [
        (said("renamed", "Fictum altum", "Fictum vetus"), []),
        (said("unknown", name="Fictum vetus"), []),
        (said("current", "Fictum vetus", "Fictum vetus"), []),
        (said("renamed", "Mendax altus", "Fictum vetus"), ["elsewhere"]),
        (said("split", name="Fictum vetus", candidates="A b; C d"), ["split"]),
        (said("homonym", name="Fictum vetus"), ["homonym"]),
    ],
)
def test_a_former_name_is_looked_at_where_it_does_not_lead_home(answer, kinds, form):
    texts = {"fictum-altum": entry("Fictum altum", "F9001", more="former_names: [Fictum vetus]\n")}
    found = review(form, [said("current", "Fictum altum"), answer], texts)
    assert [each.kind for each in found] == kinds
    assert all(each.commands == () for each in found)


@pytest.mark.parametrize("was", ["renamed", "unknown", "homonym"])
def test_a_name_that_moved_back_is_told(was, form):
    found = review(form, [said("current", "Fictum altum")], before={("Fictum altum", ""): was})
    assert [(each.kind, each.was, each.now, each.changed) for each in found] == [("back", was, "current", True)]


def test_what_was_so_before_did_not_change(form):
    (found,) = review(form, [said("unknown")], before={("Fictum altum", ""): "unknown"})
    assert not found.changed
    (found,) = review(form, [said("unknown")])
    assert not found.changed


def test_two_that_lead_to_one_are_merged_and_the_deadly_one_comes_first(form):
    texts = {
        "fictum-altum": entry("Fictum altum", "F9001", "edible"),
        "fictum-imum": entry("Fictum imum", "F9002", "deadly"),
    }
    found = review(form, [said("renamed", "Mendax altus"), said("renamed", "Mendax altus", "Fictum imum")], texts)
    assert [(each.kind, each.name) for each in found] == [("merged", "Fictum imum"), ("merged", "Fictum altum")]


def test_a_merge_into_an_entry_names_the_version_and_what_must_come_first(form):
    texts = {
        "fictum-altum": entry("Fictum altum", "F9001", "deadly"),
        "mendax-altus": entry("Mendax altus", "F9002", "edible"),
    }
    answers = [said("renamed", "Mendax altus"), said("current", "Mendax altus", "Mendax altus")]
    (found,) = review(form, answers, texts)
    assert found.kind == "merged"
    assert shlex.split(found.commands[0])[-2:] == ["--since", "0.2.0"]
    assert "must first say all" in found.reason
    assert any("let the verdict be deadly" in each for each in found.todo)


def test_the_command_carries_out_what_it_says(form):
    (found,) = review(form, [said("renamed", "Mendax altus", accepted_authorship="(Nemo) Nullus")])
    assert shlex.split(found.commands[0]) == [
        "sporeproof", "names", "apply", "--accept", "Fictum altum=Mendax altus (Nemo) Nullus",
    ]  # fmt: skip
    assert found.reason == ""


def test_general_knowledge_is_called_so_and_needs_its_word(form):
    (found,) = review(form, [said("renamed", "Mendax altus", obtained="compiled")])
    assert found.commands[0].endswith(" --unconfirmed")
    assert "unconfirmed" in found.says


def test_a_homonym_gives_a_command_for_each_candidate_and_none_for_its_own_name(form):
    (found,) = review(form, [said("homonym", candidates="Fictum altum Fr.; Mendax altus; Fallax altus Nemo")])
    assert [shlex.split(each)[-1] for each in found.commands] == [
        "Fictum altum=Mendax altus",
        "Fictum altum=Fallax altus Nemo",
    ]


def test_a_split_gives_steps_and_no_command(form):
    (found,) = review(form, [said("split", candidates="Fictum altius; Mendax altus")])
    assert found.commands == ()
    assert len(found.todo) == 5


def test_a_shell_takes_no_part_of_a_name_for_a_command(form):
    evil = "Mendax altus'; touch gone; echo '$(touch gone) `touch gone`"
    (found,) = review(form, [said("renamed", evil)])
    assert shlex.split(found.commands[0])[-1] == f"Fictum altum={evil}"
    assert "No answer on record offers" in found.reason


def test_everybody_who_refers_to_it_is_told(form):
    texts = {
        "fictum-altum": entry("Fictum altum", "F9001", more="former_names: [Fictum vetus]\n"),
        "fictum-imum": entry("Fictum imum", "F9002", more="confusions: [{with: Fictum vetus}]\n"),
        "fictum-tertium": entry("Fictum tertium", "F9003", more="confusions: [{with: F9001}]\n"),
    }
    current = [said("current", name, name) for name in ("Fictum imum", "Fictum tertium")]
    found = [
        each for each in review(form, [said("renamed", "Mendax altus"), *current], texts) if each.kind == "renamed"
    ]
    assert [(each.taxon, each.at.line, each.word) for each in found[0].touches] == [
        ("Fictum imum", 4, "Fictum vetus"),
        ("Fictum tertium", 4, "F9001"),
    ]
