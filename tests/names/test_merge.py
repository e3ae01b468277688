"""One entry into another: carried out whole or not at all, and refused where anything that warns would be lost."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from sporeproof import run
from sporeproof.names.journal import JOURNAL, NotApplied, apply, recover, unfinished
from sporeproof.names.merge import RETIRED as RETIRED_FILE
from sporeproof.names.merge import lacking
from sporeproof.records.entry import Entry
from sporeproof.records.read import TAXA
from tests.names.invented import tree
from tests.names.merging import COMMON, ENDED, ENTRIES, GONE, KEPT, OTHERS, RETIRED, lay_merging, merge_of


@pytest.fixture
def root(tmp_path) -> Path:
    return lay_merging(tmp_path / "dataset-to-merge")


def merged(root: Path, form) -> dict[str, str]:
    apply(merge_of(root, form), root, form)
    return {path: data.decode() for path, data in tree(root).items()}


def test_a_merge_changes_names_and_references_and_ended_ids_and_no_other_letter(root, form):
    names = (
        "former_names: [{name: Fictum dirum, authorship: Nemo}, Fictum atrum, "
        "{name: Mendax atrus, authorship: (Nemo) Nullus, kind: misapplied}]\n"
    )
    before = {path: data.decode() for path, data in tree(root).items()}
    after = merged(root, form)
    kept = KEPT.replace("edibility:", f"{names}edibility:")
    ended = RETIRED.replace("[F9011]", "[F9012]").replace("[F9013, F9011]", "[F9013, F9012]") + ENDED
    assert after == {
        **{path: text for path, text in before.items() if path != f"{TAXA}/fictum-dirum.yaml"},
        f"{TAXA}/fictum-letale.yaml": kept,
        f"{TAXA}/fictum-commune.yaml": COMMON.replace("with: Fictum dirum ", "with: Fictum letale "),
        f"{TAXA}/by-id.yaml": OTHERS["by-id"].replace("F9011", "F9012"),
        f"{TAXA}/fictum.yaml": OTHERS["fictum"].replace("Fictum dirum]", "Fictum letale]"),
        RETIRED_FILE: ended,
    }


def test_whatever_led_to_either_leads_to_the_one_that_stays(root, form):
    apply(merge_of(root, form), root, form)
    checklist = run.checklist_of(run.read_whole(root, form))
    for word in ("Fictum dirum", "Fictum atrum", "Mendax atrus", "Dire Fiction", "F9011", "F9050", "F9012"):
        assert [each.id for each in checklist.find(word).entries] == ["F9012"], word


def test_a_second_run_finds_nothing_to_merge(root, form):
    apply(merge_of(root, form), root, form)
    once = tree(root)
    with pytest.raises(Exception, match="No entry bears Fictum dirum"):
        merge_of(root, form)
    assert tree(root) == once


@pytest.mark.parametrize("text", ["", "{}\n", "# Only a comment.\n{}\n", "# Only a comment.\n"])
def test_the_first_id_that_ends_is_written_below_the_comments(text, tmp_path, form):
    root = lay_merging(tmp_path / "x", retired=text)
    after = merged(root, form)[RETIRED_FILE]
    assert after == text.replace("{}\n", "") + ENDED


def test_a_file_of_ended_ids_that_is_not_there_is_made(tmp_path, form):
    root = lay_merging(tmp_path / "x")
    (root / RETIRED_FILE).unlink()
    assert merged(root, form)[RETIRED_FILE] == ENDED


# ----- What must be there first -----

MORE = "  - {with: Fictum alterum}\n"
LACKING = [
    ("the verdict is milder", KEPT, "verdict: deadly\n", "verdict: disputed\n", ":7: let the verdict be poisonous"),
    ("a need", KEPT, "needs: [cook-thoroughly]", "needs: []", "`needs`, add `cook-thoroughly`"),
    ("a caution", KEPT, "[late-signs, deadly", "[deadly", "`cautions`, add `late-signs`"),
    ("a syndrome", KEPT, "syndromes: [orellanus]", "syndromes: []", "`syndromes`, add `orellanus`"),
    ("an opinion", KEPT, "    - {verdict: poisonous, source: common-practice}\n", "", "add the opinion"),
    ("a confusion", GONE, "  - {with: Fictum letale}\n", MORE, "under `confusions` list Fictum alterum"),
    ("an everyday name", KEPT, ", dire fiction", "", "`vernacular`, `en`, add Dire Fiction"),
    ("a state", KEPT, "ring: [absent, present]", "ring: present", "widen `ring` by what Fictum dirum has: absent"),
    ("a size", KEPT, "cap-width: [20, 60]", "cap-width: [20, 59]", "widen `cap-width`"),
    ("a state at an age", KEPT, "[cream, white]", "[white]", "widen `gill-colour` when young"),
    ("an age", KEPT, "gill-colour: {young: [cream, white], mature: [rusty-brown]}",
     "gill-colour: [cream, white, rusty-brown]", "give `gill-colour` by the same ages"),
    ("a character that nobody saw", GONE, "  ring: absent\n", "", "says nothing of `ring`"),
    ("it is told apart from itself", KEPT, "confusions:\n", "confusions:\n  - {with: F9011}\n",
     "nothing is taken for itself"),
    ("it calls a name misapplied", KEPT, "vernacular:",
     "former_names: [{name: Fictum dirum, kind: misapplied}]\nvernacular:", "it calls Fictum dirum misapplied"),
    ("another rank", GONE, "rank: species", "rank: variety", "not both one taxon of the same rank"),
    ("severity", GONE, "  verdict: poisonous\n", "  verdict: poisonous\n  severity: severe\n", "write `severity`"),
    ("a limit of the grade", GONE, "  verdict: poisonous\n",
     "  verdict: poisonous\n  grade_at_most: {is: specialist, because: x, source: common-practice}\n",
     "write `grade_at_most` as Fictum dirum has it: specialist"),
    ("no number", KEPT, "id: F9012", "id: new", "Give Fictum letale its number"),
    ("both listed", COMMON, "confusions:\n", "confusions:\n  - with: Fictum letale\n", "which is listed too"),
    ("dismissed", COMMON, "confusions:\n",
     "not_confused_with: [{with: Fictum dirum, because: Small, source: common-practice}]\nconfusions:\n",
     "does that hold of Fictum letale?"),
    ("both are members", OTHERS["fictum"], "[Fictum commune,", "[Fictum letale,",
     "take Fictum dirum out of the members"),
    ("a name that a third bears", COMMON, "rank: species", "rank: species\nformer_names: [Fictum atrum]",
     "it bears Fictum atrum as well"),
    ("an ended id leads to both", RETIRED, "[F9013, F9011]", "[F9012, F9011]", "F9051 leads to both"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "old", "new", "step"), [row[1:] for row in LACKING], ids=[row[0] for row in LACKING])
def test_what_would_be_lost_is_told_as_a_step_and_nothing_is_merged(text, old, new, step, tmp_path, form):
    assert old in text
    entries = {stem: each.replace(old, new, 1) if each == text else each for stem, each in ENTRIES.items()}
    retired = RETIRED.replace(old, new, 1) if text == RETIRED else RETIRED
    root = lay_merging(tmp_path / "x", entries, retired)
    plan = merge_of(root, form)
    assert (plan.steps, plan.merges) == ([], [])
    (refused,) = plan.refused
    assert any(step in each for each in refused.todo), refused.todo
    assert all(each.endswith((".", "`")) for each in refused.todo)


def test_all_steps_are_told_at_once(tmp_path, form):
    kept = KEPT.replace("deadly\n", "disputed\n", 1).replace("syndromes: [orellanus]", "syndromes: []")
    (refused,) = merge_of(lay_merging(tmp_path / "x", ENTRIES | {"fictum-letale": kept}), form).refused
    assert len(refused.todo) == 2


def test_conditions_of_an_edible_one_may_not_get_wider(tmp_path, form):
    gone = GONE.replace(
        "verdict: poisonous\n", "verdict: edible\n  accept_only: {stage: [mature], cap-width: [30, 60]}\n"
    )
    gone = gone.replace("  opinions: [{verdict: poisonous, source: common-practice}]\n", "")
    kept = KEPT.replace("verdict: deadly\n", "verdict: edible\n  accept_only: {cap-width: [30, 61]}\n")
    (refused,) = merge_of(lay_merging(tmp_path / "x", {"fictum-dirum": gone, "fictum-letale": kept}), form).refused
    assert [each.partition("no more of ")[2] for each in refused.todo if "accept_only" in each] == [
        "`stage` than Fictum dirum has.",
        "`cap-width` than Fictum dirum has.",
    ]


def test_a_version_is_asked_for_since_an_id_ends(root, form):
    (refused,) = merge_of(root, form, since="").refused
    assert "--since" in refused.reason


def test_what_nobody_confirmed_merges_only_when_asked_for(root, form):
    names = root / "dataset" / "names.csv"
    names.write_text(names.read_text("utf-8").replace(",live,", ",compiled,"), "utf-8")
    assert "general knowledge" in merge_of(root, form).refused[0].reason
    assert merge_of(root, form, unconfirmed=True).merges


def test_nothing_merges_while_an_entry_cannot_be_read(tmp_path, form):
    root = lay_merging(tmp_path / "x", ENTRIES | {"broken": "id: ["})
    assert "broken.yaml cannot be read whole" in merge_of(root, form).refused[0].reason


# ----- A journal that is not to be followed -----


def left_behind(root: Path, form, bend) -> None:
    said = {
        "schema": 1,
        "steps": [
            {"was": each.was, "file": each.file, "before": each.before.decode(), "after": each.after.decode()}
            for each in merge_of(root, form).steps
        ],
    }
    by_file = {each["was"]: each for each in said["steps"]}
    bend(by_file, said["steps"])
    (root / JOURNAL).write_text(json.dumps(said), "utf-8")


GOING, STAYING = f"{TAXA}/fictum-dirum.yaml", f"{TAXA}/fictum-letale.yaml"


def softened(by_file, steps):
    by_file[STAYING]["after"] = by_file[STAYING]["after"].replace("verdict: deadly", "verdict: edible")


def softened_before(by_file, steps):
    for side in ("before", "after"):
        by_file[STAYING][side] = by_file[STAYING][side].replace("verdict: deadly", "verdict: edible")


def goes_unsaid(by_file, steps):
    steps.remove(by_file[RETIRED_FILE])


def leads_elsewhere(by_file, steps):
    by_file[RETIRED_FILE]["after"] = by_file[RETIRED_FILE]["after"].replace(
        "F9011: {was: Fictum dirum, replaced_by: [F9012]", "F9011: {was: Fictum dirum, replaced_by: [F9013]"
    )


def leads_nowhere(by_file, steps):
    by_file[RETIRED_FILE]["after"] = by_file[RETIRED_FILE]["after"].replace(
        "F9011: {was: Fictum dirum, replaced_by: [F9012]", "F9011: {was: Fictum dirum, replaced_by: []"
    )


def another_id_ends(by_file, steps):
    by_file[RETIRED_FILE]["after"] += ENDED.replace("F9011", "F9013")


def an_ended_id_vanishes(by_file, steps):
    by_file[RETIRED_FILE]["after"] = "\n".join(by_file[RETIRED_FILE]["after"].split("\n")[2:])


def an_ended_id_is_turned(by_file, steps):
    by_file[RETIRED_FILE]["after"] = by_file[RETIRED_FILE]["after"].replace("[F9013, F9012]", "[F9013]")


def only_an_id_ends(by_file, steps):
    steps[:] = [by_file[RETIRED_FILE]]


def another_goes_too(by_file, steps):
    steps.append({"was": f"{TAXA}/by-former-name.yaml", "file": "", "before": OTHERS["by-former-name"], "after": ""})


def a_name_is_lost(by_file, steps):
    by_file[STAYING]["after"] = by_file[STAYING]["after"].replace("Fictum atrum, ", "")


def a_reference_is_turned(by_file, steps):
    step = by_file[f"{TAXA}/fictum-commune.yaml"]
    step["after"] = step["after"].replace("with: Fictum letale", "with: Fictum tertium")


def it_goes_nowhere(by_file, steps):
    by_file[GOING]["was"] = ""


def it_goes_with_something(by_file, steps):
    by_file[GOING]["after"] = "id: new\n"


def it_is_hidden(by_file, steps):
    by_file[GOING]["was"] = f"{TAXA}/.fictum-dirum.yaml"


def it_is_no_entry(by_file, steps):
    by_file[GOING]["before"] = "id: F9011\ncharacters: 3\n"


def its_successor_is_not_part(by_file, steps):
    steps.remove(by_file[STAYING])


BENT = [
    softened, softened_before, goes_unsaid, leads_elsewhere, leads_nowhere, another_id_ends, an_ended_id_vanishes,
    an_ended_id_is_turned, only_an_id_ends, another_goes_too, a_name_is_lost, a_reference_is_turned, it_goes_nowhere,
    it_goes_with_something, it_is_hidden, it_is_no_entry, its_successor_is_not_part,
]  # fmt: skip


@pytest.mark.parametrize("bend", BENT, ids=lambda bend: bend.__name__)
def test_a_journal_that_would_lose_what_warns_is_not_followed(bend, root, form):
    left_behind(root, form, bend)
    before = tree(root)
    with pytest.raises(NotApplied, match=JOURNAL):
        recover(root, form)
    assert tree(root) == before


def test_an_entry_that_is_gone_before_the_rest_was_written_stops_the_run(root, form):
    left_behind(root, form, lambda by_file, steps: None)
    (root / GOING).unlink()
    with pytest.raises(NotApplied, match="has gone before"):
        recover(root, form)


def test_without_the_schema_no_merge_is_finished(root, form):
    left_behind(root, form, lambda by_file, steps: None)
    with pytest.raises(NotApplied, match="without the schema"):
        recover(root)


def test_an_honest_journal_is_followed(root, form, tmp_path):
    left_behind(root, form, lambda by_file, steps: None)
    assert GOING in recover(root, form)
    assert unfinished(root) is None
    other = lay_merging(tmp_path / "other")
    apply(merge_of(other, form), other, form)
    assert tree(root) == tree(other)


# ----- A law over the real dataset -----


def twin_of(entry: Entry, value: dict[str, Any]) -> Entry:
    """The same entry under an invented name, with another value."""
    own = {"id": "F9999", "name": "Fictum gemellum", "former_names": []}
    return Entry("dataset/taxa/fictum-gemellum.yaml", entry.text, {**value, **own})


def poorer(value: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield what an entry says without one thing that warns, or that keeps a look from being excluded."""
    for key in ("needs", "cautions", "syndromes"):
        for index, word in enumerate(value["edibility"].get(key) or []):
            less = deepcopy(value)
            del less["edibility"][key][index]
            yield f"{key} {word}", less
    for index, each in enumerate(value.get("confusions") or []):
        less = deepcopy(value)
        del less["confusions"][index]
        yield f"confusion {each['with']}", less
    for id, raw in (value.get("characters") or {}).items():
        if isinstance(raw, list) and len(raw) > 1 and isinstance(raw[0], str):
            less = deepcopy(value)
            del less["characters"][id][0]
            yield f"character {id}", less


def test_no_entry_of_the_dataset_goes_into_one_that_says_less(dataset, form):
    """A twin that says the same may stay for it; a twin that lacks any one thing may not."""
    tried = 0
    for entry in dataset.entries[::3]:
        if entry.members:
            continue
        assert list(lacking(entry, twin_of(entry, entry.value), form)) == [], entry.file
        for what, less in poorer(entry.value):
            tried += 1
            assert list(lacking(entry, twin_of(entry, less), form)), f"{entry.file}: {what}"
    assert tried > 350


def test_no_entry_of_the_dataset_goes_into_one_with_a_milder_verdict(dataset, form):
    for entry in dataset.entries:
        for verdict in form.vocabularies["verdicts"]:
            value = deepcopy(entry.value)
            value["edibility"]["verdict"] = verdict
            milder = form.is_stricter(entry.verdict, verdict)
            told = [each for each in lacking(entry, twin_of(entry, value), form) if "let the verdict be" in each]
            assert bool(told) is milder, (entry.file, verdict)
