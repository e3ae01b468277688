"""Planned renames, letter by letter, and why others are refused. The taxa are invented."""

from __future__ import annotations

import pytest

from sporeproof.names.answers import Answer
from tests.names.invented import ANSWERS, COMMON, ENTRIES, FALSE, GENUS, RARE, applied, planned, with_answers

UNREVIEWED = "review: {state: unreviewed}\n"


def entry(name: str, id: str = "F9009", more: str = "", rank: str = "species") -> str:
    """An invented entry without more than it needs."""
    return f"id: {id}\nname: {name}\nrank: {rank}\n{more}edibility: {{verdict: unknown}}\n{UNREVIEWED}"


def reasons(entries: dict[str, str], answers: list[Answer], form, **wanted) -> list[str]:
    plan = planned(entries, answers, form, **wanted)
    assert not plan.steps
    return [each.reason for each in plan.refused]


def test_a_rename_changes_names_and_references_and_no_other_letter(form):
    common = COMMON.replace("name: 'Fictum commune'", "name: 'Fictum novum'").replace(
        "with: Fictum falsum", "with: Mendax dirus"
    )
    common = common.replace("authorship: (Fr.) Nemo      # Fern", "# Fern")
    common = common.replace("- Fictum novum", "- {name: Fictum commune, authorship: (Fr.) Nemo}")
    false = FALSE.replace("name: Fictum falsum", "name: Mendax dirus").replace("'Nemo: Fr.'", "'(Nemo: Fr.) Nemo'")
    former = "rank: species\r\nformer_names: [{name: Fictum falsum, authorship: 'Nemo: Fr.'}]\r\n"
    false = false.replace("rank: species\r\n", former).replace("with: Fictum commune", "with: Fictum novum")
    genus = GENUS.replace("- Fictum commune", "- Fictum novum").replace("'Fictum falsum'", "'Mendax dirus'")
    after = {"fictum-novum": common, "mendax-dirus": false, "fictum-rarum": RARE, "fictum": genus}
    assert applied(ENTRIES, ANSWERS, form) == after


def test_a_second_plan_has_no_steps(form):
    for wanted in ({}, {"unconfirmed": True}):
        after = applied(ENTRIES, ANSWERS, form, **wanted)
        assert after != ENTRIES
        assert planned(after, ANSWERS, form, **wanted).steps == []
        assert applied(after, ANSWERS, form, **wanted) == after


def test_what_rests_on_general_knowledge_is_taken_only_when_asked_for(form):
    (refusal,) = planned(ENTRIES, ANSWERS, form).refused
    assert (refusal.name, refusal.accepted) == ("Fictum rarum", "Mendax rarus")
    assert "general knowledge" in refusal.reason
    assert (refusal.at.file, refusal.at.line) == ("dataset/taxa/fictum-rarum.yaml", 1)
    after = applied(ENTRIES, ANSWERS, form, unconfirmed=True)
    assert after["mendax-rarus"].startswith("{id: new, name: Mendax rarus, rank: species, vernacular: ")
    assert "former_names: [Fictum rarum]" in after["mendax-rarus"]
    assert 'with: "Mendax rarus"' in after["fictum-novum"]


def test_only_what_was_named_is_renamed(form):
    for only in ("Fictum falsum", "F9002"):
        plan = planned(ENTRIES, ANSWERS, form, only=[only])
        assert [each.name for each in plan.renames] == ["Mendax dirus"]


def test_the_authorship_of_another_combination_does_not_stay(form):
    notes = {each.name: each.notes for each in planned(ENTRIES, ANSWERS, form).renames}
    assert "no authorship for Fictum novum" in notes["Fictum novum"][0]
    assert notes["Mendax dirus"] == ()


def test_the_authorship_that_stood_with_the_former_name_returns_with_it(form):
    text = entry("Fictum altum", more="former_names: [{name: Mendax altus, authorship: (Fr.) Nemo}]\n")
    after = applied({"fictum-altum": text}, with_answers(("Fictum altum", "Mendax altus")), form)
    assert "name: Mendax altus\nauthorship: (Fr.) Nemo\nrank" in after["mendax-altus"]
    assert "former_names: [Fictum altum]\n" in after["mendax-altus"]


@pytest.mark.parametrize("former", ["Fictum altum", "{name: Fictum altum, authorship: Nemo, kind: former}"])
def test_an_old_name_that_stands_among_the_former_ones_already_does_not_stand_twice(former, form):
    text = entry("Fictum altum", more=f"former_names: [Fictum imum, {former}]\n")
    kept = "Fictum altum" if former == "Fictum altum" else "{name: Fictum altum, authorship: Nemo}"
    after = applied({"fictum-altum": text}, TO_MENDAX, form)
    assert f"former_names: [{kept}, Fictum imum]\n" in after["mendax-altus"]


def test_a_link_by_the_stem_of_an_unnumbered_entry_is_followed(form):
    entries = {
        "fictum-altum": entry("Fictum altum", "new"),
        "fictum-imum": entry("Fictum imum", more="confusions: [{with: fictum-altum}]\n"),
    }
    after = applied(entries, with_answers(("Fictum altum", "Mendax altus")), form)
    assert "with: Mendax altus" in after["fictum-imum"]


def test_links_by_former_name_or_id_or_everyday_name_stay(form):
    after = applied(ENTRIES, ANSWERS, form)
    assert after["fictum-rarum"] == RARE
    assert "with: Common Feigned Cap" in after["mendax-dirus"]


def test_the_file_of_a_group_keeps_its_ending(form):
    text = entry("Fictum altum", more="members: []\n", rank="species-group")
    after = applied({"fictum-altum-group": text}, with_answers(("Fictum altum", "Mendax altus")), form)
    assert list(after) == ["mendax-altus-group"]


ALTUM = {"fictum-altum": entry("Fictum altum")}
TO_MENDAX = with_answers(("Fictum altum", "Mendax altus"))
FORMER = "former_names: [{name: Mendax altus, kind: misapplied}]\n"
REFUSED = [
    (
        "merged",
        ALTUM | {"fictum-imum": entry("Fictum imum", "F9010")},
        with_answers(("Fictum altum", "Mendax altus"), ("Fictum imum", "Mendax  altus")),
        "Several entries lead to",
    ),
    (
        "current elsewhere",
        ALTUM | {"mendax-altus": entry("Mendax altus", "F9010")},
        TO_MENDAX,
        "already a name of Mendax altus",
    ),
    (
        "former elsewhere",
        ALTUM | {"fictum-imum": entry("Fictum imum", "F9010", "former_names: [Mendax altus]\n")},
        TO_MENDAX,
        "already a name of Fictum imum",
    ),
    (
        "misapplied elsewhere",
        ALTUM | {"fictum-imum": entry("Fictum imum", "F9010", FORMER)},
        TO_MENDAX,
        "already a name of Fictum imum",
    ),
    (
        "misapplied here",
        {"fictum-altum": entry("Fictum altum", more=FORMER)},
        TO_MENDAX,
        "itself calls Mendax altus misapplied",
    ),
    (
        "the old name borne twice",
        ALTUM | {"fictum-imum": entry("Fictum imum", "F9010", "former_names: [Fictum altum]\n")},
        TO_MENDAX,
        "a name of Fictum imum",
    ),
    (
        "file there",
        ALTUM | {"mendax-altus": entry("Fictum imum", "F9010")},
        TO_MENDAX,
        "mendax-altus.yaml is there already",
    ),
    ("another rank", ALTUM, with_answers(("Fictum altum", "Mendax altus var. minor")), "another rank"),
    ("a genus", ALTUM, with_answers(("Fictum altum", "Mendax")), "another rank"),
    ("no name", ALTUM, with_answers(("Fictum altum", "")), "no other name"),
    ("the same name", ALTUM, with_answers(("Fictum altum", "Fictum altum")), "no other name"),
    ("a way out of the folder", ALTUM, with_answers(("Fictum altum", "../../altus")), "not well formed"),
    ("a doubtful name", ALTUM, with_answers(("Fictum altum", "Mendax cf. altus")), "not well formed"),
    (
        "a chain",
        ALTUM,
        with_answers(("Fictum altum", "Mendax altus"), ("Mendax altus", "Fallax altus")),
        "contradict each other",
    ),
    (
        "a circle",
        ALTUM,
        with_answers(("Fictum altum", "Mendax altus"), ("Mendax altus", "Fictum altum")),
        "contradict each other",
    ),
    (
        "a file that cannot be read",
        ALTUM | {"fictum-imum": "id: ["},
        TO_MENDAX,
        "fictum-imum.yaml cannot be read whole",
    ),
    ("a file with a slip", ALTUM | {"fictum-imum": entry("NO")}, TO_MENDAX, "fictum-imum.yaml cannot be read whole"),
    (
        "a layout out of reach",
        {"fictum-altum": entry("Fictum altum").replace("Fictum altum", ">-\n  Fictum altum")},
        TO_MENDAX,
        "does not hold one word",
    ),
]


@pytest.mark.parametrize(
    ("entries", "answers", "reason"), [row[1:] for row in REFUSED], ids=[row[0] for row in REFUSED]
)
def test_a_rename_that_leaves_a_doubt_is_refused_with_the_reason(entries, answers, reason, form):
    found = reasons(entries, answers, form)
    assert found
    for each in found:
        assert reason in each
        assert each.endswith((".", "first.", "decides."))


def test_a_refused_rename_does_not_keep_others_from_being_made(form):
    entries = ALTUM | {"fictum-imum": entry("Fictum imum", "F9010")}
    answers = with_answers(("Fictum altum", "Mendax altus"), ("Fictum imum", "Mendax"))
    plan = planned(entries, answers, form)
    assert [each.name for each in plan.renames] == ["Mendax altus"]
    assert [each.name for each in plan.refused] == ["Fictum imum"]


def test_an_edit_that_fails_late_leaves_no_trace(form):
    """The links are edited first; then the entry's own layout turns out to be out of reach."""
    entries = {"fictum-altum": entry("Fictum altum").replace("name: Fictum altum", "name: >-\n  Fictum altum")}
    entries["fictum-imum"] = entry("Fictum imum", "F9010", "confusions: [{with: Fictum altum}]\n")
    assert planned(entries, TO_MENDAX, form).steps == []
