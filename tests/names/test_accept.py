"""What a person chooses where answers leave a name open: only what is offered, and nothing that softens."""

from __future__ import annotations

import pytest

from sporeproof.names.answers import Answer
from sporeproof.names.choices import ChoiceRefused, Choices, marks_of, parted, read_choices, read_since
from tests.names.invented import applied, planned

UNREVIEWED = "review: {state: unreviewed}\n"


def entry(name: str, id: str = "F9009", more: str = "", verdict: str = "unknown", by: str = "") -> str:
    """An invented entry without more than it needs."""
    authors = f"authorship: {by}\n" if by else ""
    return f"id: {id}\nname: {name}\n{authors}rank: species\n{more}edibility: {{verdict: {verdict}}}\n{UNREVIEWED}"


ALTUM = {"fictum-altum": entry("Fictum altum", by="Nemo")}


def said(outcome: str, accepted: str = "", by: str = "", name: str = "Fictum altum", **more: str) -> Answer:
    return Answer(name, "", outcome, accepted, by, **{"obtained": "live", "checked_on": "2026-11-25", **more})


def choose(*pairs: str) -> Choices:
    return Choices(read_choices(pairs))


ALTIUS = choose("Fictum altum=Fictum altius")


def refused(entries, answers, form, choices=ALTIUS, **wanted):
    plan = planned(entries, answers, form, choices=choices, **wanted)
    assert plan.steps == []
    (only,) = plan.refused
    return only


# ----- What is offered may be taken -----


def test_a_spelling_is_taken_and_the_old_one_is_kept_as_a_slip(form):
    answers = [said("respelled", "Fictum altius", "Nemo & Nullus")]
    after = applied(ALTUM, answers, form, choices=ALTIUS)
    assert after == {
        "fictum-altius": entry(
            "Fictum altius",
            more="former_names: [{name: Fictum altum, authorship: Nemo, kind: misspelling}]\n",
            by="Nemo & Nullus",
        )
    }


def test_a_like_spelling_that_leads_to_another_genus_is_no_slip(form):
    answers = [said("respelled", "Mendax altius", "Nemo")]
    after = applied(ALTUM, answers, form, choices=choose("Fictum altum=Mendax altius"))
    assert "former_names: [{name: Fictum altum, authorship: Nemo}]\n" in after["mendax-altius"]


@pytest.mark.parametrize("outcome", ["homonym", "doubtful"])
@pytest.mark.parametrize("new", ["Mendax altus", "Mendax altus (Nemo) Nullus"])
def test_one_of_several_candidates_is_taken_with_its_authors(outcome, new, form):
    answers = [said(outcome, candidates="Fictum altius Fr.; Mendax altus (Nemo) Nullus")]
    after = applied(ALTUM, answers, form, choices=choose(f"Fictum altum={new}"))
    assert after["mendax-altus"].startswith("id: F9009\nname: Mendax altus\nauthorship: (Nemo) Nullus\n")
    assert "former_names: [{name: Fictum altum, authorship: Nemo}]\n" in after["mendax-altus"]


def test_a_name_with_a_mark_is_renamed_by_choice_only(form):
    entries = {"fictum-altum": entry("Fictum altum", by="auct. non Nemo")}
    answers = [said("renamed", "Fictum altius", "Nullus")]
    plan = planned(entries, answers, form)
    assert plan.steps == []
    assert "says `auct.` of itself" in plan.refused[0].reason
    assert list(applied(entries, answers, form, choices=ALTIUS)) == ["fictum-altius"]


@pytest.mark.parametrize("mark", ["cf. altum", "altum s.l.", "altum agg.", "altum?"])
def test_a_mark_in_the_name_holds_a_rename_back(mark, form):
    entries = {"fictum-altum": entry(f"Fictum {mark}")}
    plan = planned(entries, [said("renamed", "Fictum altius", name=f"Fictum {mark}")], form)
    assert plan.steps == []
    assert "a person decides" in plan.refused[0].reason or "another rank" in plan.refused[0].reason


def test_only_what_was_chosen_is_renamed(form):
    entries = ALTUM | {"fictum-imum": entry("Fictum imum", "F9010")}
    answers = [said("respelled", "Fictum altius"), said("renamed", "Mendax imus", name="Fictum imum")]
    plan = planned(entries, answers, form, choices=ALTIUS)
    assert [each.name for each in plan.renames] == ["Fictum altius"]
    assert plan.refused == []


def test_an_entry_is_chosen_by_its_id_too(form):
    answers = [said("respelled", "Fictum altius")]
    assert list(applied(ALTUM, answers, form, choices=choose("F9009=Fictum altius"))) == ["fictum-altius"]


def test_links_follow_a_choice(form):
    entries = ALTUM | {"fictum-imum": entry("Fictum imum", "F9010", "confusions: [{with: Fictum altum}]\n")}
    after = applied(
        entries, [said("homonym", candidates="Mendax altus")], form, choices=choose("Fictum altum=Mendax altus")
    )
    assert "confusions: [{with: Mendax altus}]" in after["fictum-imum"]


def test_of_two_that_lead_to_one_name_the_more_dangerous_comes_first(form):
    entries = {
        "fictum-altum": entry("Fictum altum", verdict="edible"),
        "fictum-imum": entry("Fictum imum", "F9010", verdict="deadly"),
    }
    answers = [said("renamed", "Fictum altius"), said("renamed", "Fictum altius", name="Fictum imum")]
    first = refused(entries, answers, form)
    assert "Fictum imum leads to Fictum altius as well and is deadly here" in first.reason
    assert '--accept "Fictum imum=Fictum altius"' in first.reason
    assert "fictum-altius" in applied(entries, answers, form, choices=choose("Fictum imum=Fictum altius"))


# ----- What is not -----

OFFERED = "Fictum altius Nemo; Mendax altus (Nemo) Nullus"
REFUSED = [
    ("never asked", [], "No answer is on record"),
    ("not offered", [said("homonym", candidates="Mendax altus (Nemo) Nullus; Mendax imus")],
     "No answer on record offers Fictum altius for Fictum altum. Offered: Mendax altus (Nemo) Nullus; Mendax imus."),
    ("nothing offered", [said("doubtful")], "Offered: nothing."),
    ("current", [said("current", "Fictum altum"), said("renamed", "Fictum altius", obtained="registry-taxonomy")],
     "keeps it as it is, so there is nothing to choose. Offered: Fictum altum; Fictum altius."),
    ("unknown", [said("unknown"), said("renamed", "Fictum altius", obtained="registry-taxonomy")], "calls it unknown"),
    ("only a genus", [said("higher-only", "Fictum")], "calls it higher-only"),
    ("a second opinion", [said("renamed", "Mendax altus"), said("renamed", "Fictum altius", obtained="compiled")],
     "Only a second opinion offers Fictum altius; the answer that speaks leads to Mendax altus."),
    ("several authors", [said("homonym", candidates="Fictum altius Fr.; Fictum altius Nemo")], "with several authors"),
    ("more than the name", [said("homonym", candidates="Fictum altius var. minor Fr.")], "offers Fictum altius"),
    ("a chain", [said("respelled", "Fictum altius"), said("renamed", "Mendax imus", name="Fictum altius")],
     "contradict each other"),
    ("general knowledge", [said("respelled", "Fictum altius", obtained="compiled")], "--unconfirmed"),
]  # fmt: skip


@pytest.mark.parametrize(("answers", "reason"), [row[1:] for row in REFUSED], ids=[row[0] for row in REFUSED])
def test_a_choice_that_leaves_a_doubt_is_refused_with_the_reason(answers, reason, form):
    assert reason in refused(ALTUM, answers, form).reason


def test_general_knowledge_is_followed_when_asked_for(form):
    answers = [said("respelled", "Fictum altius", obtained="compiled")]
    assert list(applied(ALTUM, answers, form, choices=ALTIUS, unconfirmed=True)) == ["fictum-altius"]


@pytest.mark.parametrize("new", ["Mendax", "Mendax altus var. minor"])
def test_a_choice_of_another_rank_is_refused(new, form):
    found = refused(ALTUM, [said("homonym", candidates=f"{new} Fr.")], form, choose(f"Fictum altum={new}"))
    assert "another rank" in found.reason


def test_where_only_the_author_is_open_the_line_to_write_is_told(form):
    answers = [said("homonym", candidates="Fictum altum Fr.; Fictum altum Nullus")]
    found = refused(ALTUM, answers, form, choose("Fictum altum=Fictum altum Fr."))
    assert "write `authorship: Fr.` into dataset/taxa/fictum-altum.yaml" in found.reason


def test_a_name_that_another_entry_bears_formerly_is_not_taken(form):
    entries = ALTUM | {"fictum-imum": entry("Fictum imum", "F9010", "former_names: [Fictum altius]\n")}
    assert "already a name of Fictum imum" in refused(entries, [said("respelled", "Fictum altius")], form).reason


def test_a_split_is_written_by_a_person_and_every_step_is_told(form):
    entries = {
        "fictum-altum": entry("Fictum altum", verdict="poisonous"),
        "mendax-altus": entry("Mendax altus", "F9010"),
        "fictum-imum": entry("Fictum imum", "F9011", "confusions: [{with: Fictum altum}]\n"),
    }
    found = refused(entries, [said("split", candidates="Fictum altius Fr.; Mendax altus Nemo")], form)
    assert "several taxa now" in found.reason
    assert found.todo == (
        'Fictum altius: write it, beginning with `sporeproof new "Fictum altius"`; '
        "no milder than poisonous unless a source allows it.",
        "Mendax altus: it stands in dataset/taxa/mendax-altus.yaml; "
        "no milder than poisonous unless a source allows it.",
        "Give the new ones their numbers: `sporeproof number`.",
        "dataset/taxa/fictum-imum.yaml:4: name the part that is meant; where that is open, all of them.",
        "Delete dataset/taxa/fictum-altum.yaml; list Fictum altum among the former names of its most dangerous part.",
        "dataset/retired.yaml: write `F9009: {was: Fictum altum, consider: [the ids of all parts], "
        "since: the next version, because: why it is several}`.",
    )


@pytest.mark.parametrize("old", ["Fictum novum", "Fictum vetus"])
def test_a_name_that_no_entry_bears_today_cannot_be_chosen_for(old, form):
    entries = {"fictum-altum": entry("Fictum altum", more="former_names: [Fictum vetus]\n")}
    with pytest.raises(ChoiceRefused, match=f"No entry bears {old} as its current name"):
        planned(entries, [], form, choices=choose(f"{old}=Fictum altius"))


# ----- How a choice is written -----


def test_choices_are_read_with_stray_spaces():
    assert read_choices([" Fictum  altum = Fictum altius ", "F1234=Mendax altus"]) == {
        "Fictum altum": "Fictum altius",
        "F1234": "Mendax altus",
    }


@pytest.mark.parametrize(
    "words",
    [["Fictum altum"], ["=Fictum altius"], ["Fictum altum="], ["a=b=c"], ["Fictum altum=A b", "Fictum altum=A c"]],
)
def test_what_is_no_choice_is_refused(words):
    with pytest.raises(ChoiceRefused):
        read_choices(words)


@pytest.mark.parametrize("text", ["1", "1.2", "1.2.3.4", "v1.2.3", "01.2.3", "latest"])
def test_what_is_no_version_is_refused(text):
    with pytest.raises(ChoiceRefused):
        read_since(text)


@pytest.mark.parametrize(
    ("text", "name", "authors"),
    [
        ("Fictum altum", "Fictum altum", ""),
        ("Fictum altum (Fr.) Nemo", "Fictum altum", "(Fr.) Nemo"),
        ("Fictum altum var. minor Nemo", "Fictum altum var. minor", "Nemo"),
        ("Fictum Nemo", "Fictum", "Nemo"),
        ("Fictum altum de Nemo", "Fictum altum", "de Nemo"),
        ("Fictum altum f. minor (L.) Fr.", "Fictum altum f. minor", "(L.) Fr."),
        ("Fictum altum Nemo f.", "Fictum altum", "Nemo f."),
        ("", "", ""),
    ],
)
def test_name_and_authors_are_parted(text, name, authors, form):
    assert parted(text, form) == (name, authors)


@pytest.mark.parametrize(
    ("name", "authorship", "marks"),
    [
        ("Fictum altum", "(Fr.) Nemo", []),
        ("Fictum altum", "auct.", ["auct."]),
        ("Fictum cf. altum", "", ["cf."]),
        ("Fictum altum s. l.", "", ["s. l."]),
        ("Fictum autum", "Cfrancis", []),
    ],
)
def test_marks_are_seen_and_nothing_else(name, authorship, marks):
    assert marks_of(name, authorship) == marks
