"""A plan that is carried out leaves the old dataset or the new one, whenever it ends. The taxa are invented."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from sporeproof.names.journal import JOURNAL, NotApplied, apply, recover, unfinished
from sporeproof.records.read import TAXA
from tests.conftest import ROOT
from tests.names.invented import ANSWERS, ENTRIES, lay, plan_of, tree
from tests.names.merging import lay_merging, merge_of


@pytest.fixture(scope="session")
def states(tmp_path_factory, form):
    """The invented dataset before and after its renames, as bytes by path."""
    root = lay(tmp_path_factory.mktemp("whole"), ENTRIES, ANSWERS)
    old = tree(root)
    apply(plan_of(root, form), root)
    return old, tree(root)


@pytest.fixture
def root(tmp_path) -> Path:
    return lay(tmp_path / "dataset-to-rename", ENTRIES, ANSWERS)


def visible(root: Path) -> dict[str, bytes]:
    return {path: data for path, data in tree(root).items() if not Path(path).name.startswith(".")}


def test_a_plan_is_carried_out_and_the_answers_are_left_alone(states):
    old, new = states
    assert set(old) - set(new) == {f"{TAXA}/fictum-commune.yaml", f"{TAXA}/fictum-falsum.yaml"}
    assert set(new) - set(old) == {f"{TAXA}/fictum-novum.yaml", f"{TAXA}/mendax-dirus.yaml"}
    assert new["dataset/names.csv"] == old["dataset/names.csv"]
    assert new[f"{TAXA}/fictum-rarum.yaml"] == old[f"{TAXA}/fictum-rarum.yaml"]


def test_a_second_run_changes_nothing(root, form, states):
    for _ in range(2):
        apply(plan_of(root, form), root)
        assert tree(root) == states[1]
        assert unfinished(root) is None
        assert recover(root) == []


def run_killed(folder: Path, step: str, what: str = "") -> list[Path]:
    """End a run at 20 of its moments; return the datasets that it left."""
    command = [sys.executable, "-m", "tests.names.killed", folder, step, what]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 100
    return [folder / str(number) for number in range(20)]


def test_a_run_that_is_killed_at_any_moment_is_finished_or_has_not_begun(tmp_path, form, states):
    old, new = states
    lay(tmp_path / "begun", ENTRIES, ANSWERS)
    outcomes = []
    for root in run_killed(tmp_path, "apply"):
        for path, data in visible(root).items():
            assert data in {old.get(path), new.get(path)}, f"{root.name}: {path} is half written"
        begun = unfinished(root) is not None
        outcomes.append((begun, visible(root) not in (old, new)))
        assert begun or visible(root) in (old, new), f"{root.name}: half renamed and nobody knows"
        recover(root)
        assert visible(root) == (new if begun or visible(root) == new else old), root.name
        apply(plan_of(root, form), root)
        assert tree(root) == new, f"{root.name}: something is lost or left lying about"
    assert set(outcomes) == {(False, False), (True, False), (True, True)}


def test_finishing_can_be_killed_at_any_moment_too(tmp_path, states):
    lay(tmp_path / "apply" / "begun", ENTRIES, ANSWERS)
    begun = [each for each in run_killed(tmp_path / "apply", "apply") if unfinished(each)]
    (tmp_path / "recover").mkdir()
    shutil.copytree(begun[len(begun) // 2], tmp_path / "recover" / "begun")
    for root in run_killed(tmp_path / "recover", "recover"):
        recover(root)
        assert tree(root) == states[1], root.name


def test_a_merge_that_is_killed_at_any_moment_is_finished_or_has_not_begun(tmp_path, form):
    whole = lay_merging(tmp_path / "whole-one")
    old = tree(whole)
    apply(merge_of(whole, form), whole, form)
    new = tree(whole)
    lay_merging(tmp_path / "begun")
    outcomes = set()
    for root in run_killed(tmp_path, "apply", "merge"):
        for path, data in visible(root).items():
            assert data in {old.get(path), new.get(path)}, f"{root.name}: {path} is half written"
        begun = unfinished(root) is not None
        outcomes.add((begun, visible(root) not in (old, new)))
        recover(root, form)
        assert visible(root) in ((new,) if begun else (old, new)), root.name
        if visible(root) == old:
            apply(merge_of(root, form), root, form)
        assert tree(root) == new, f"{root.name}: something is lost or left lying about"
    assert outcomes >= {(False, False), (True, True)}


def test_finishing_a_merge_can_be_killed_at_any_moment_too(tmp_path, form):
    whole = lay_merging(tmp_path / "whole-one")
    apply(merge_of(whole, form), whole, form)
    lay_merging(tmp_path / "apply" / "begun")
    begun = [each for each in run_killed(tmp_path / "apply", "apply", "merge") if unfinished(each)]
    (tmp_path / "recover").mkdir()
    shutil.copytree(begun[len(begun) // 2], tmp_path / "recover" / "begun")
    for root in run_killed(tmp_path / "recover", "recover", "merge"):
        recover(root, form)
        assert tree(root) == tree(whole), root.name


# ----- A journal that is not to be followed -----


def journal_of(root: Path, form) -> dict:
    """Write the journal of a run that ended at once, and return what it says."""
    steps = [
        {"was": each.was, "file": each.file, "before": each.before.decode(), "after": each.after.decode()}
        for each in plan_of(root, form).steps
    ]
    return {"schema": 1, "steps": steps}


def left_behind(root: Path, said: object) -> None:
    text = said if isinstance(said, str) else json.dumps(said)
    (root / JOURNAL).write_text(text, "utf-8")


def test_a_journal_that_a_run_left_is_followed(root, form, states):
    left_behind(root, journal_of(root, form))
    assert unfinished(root) == root / JOURNAL
    assert f"{TAXA}/fictum-novum.yaml" in recover(root)
    assert tree(root) == states[1]


def test_nothing_new_is_begun_before_the_old_is_finished(root, form):
    plan = plan_of(root, form)
    left_behind(root, journal_of(root, form))
    before = tree(root)
    with pytest.raises(NotApplied, match="finish them first"):
        apply(plan, root)
    assert tree(root) == before


def softened(said: dict) -> None:
    said["steps"][1]["after"] = said["steps"][1]["after"].replace("verdict: deadly", "verdict: edible")


def without_confusion(said: dict) -> None:
    step = said["steps"][0]
    step["after"] = step["after"].replace('  - {with: "Fictum  rarum", hints: [smell]}\n', "")


def turned_aside(said: dict) -> None:
    said["steps"][0]["after"] = said["steps"][0]["after"].replace("with: Mendax dirus", "with: Fictum rarum")


def without_old_name(said: dict) -> None:
    said["steps"][1]["after"] = said["steps"][1]["after"].replace("Fictum falsum", "Fictum aliud")


def climbing(said: dict) -> None:
    said["steps"][0]["file"] = f"{TAXA}/../../gone.yaml"


def elsewhere(said: dict) -> None:
    said["steps"][0]["file"] = "dataset/names.csv"


def absolute(said: dict) -> None:
    said["steps"][0]["file"] = "/gone.yaml"


def hidden(said: dict) -> None:
    said["steps"][0]["file"] = f"{TAXA}/.gone.yaml"


def not_a_word(said: dict) -> None:
    said["steps"][0]["was"] = 3


def twice(said: dict) -> None:
    said["steps"][0]["file"] = said["steps"][1]["file"]


def unreadable(said: dict) -> None:
    said["steps"][1]["after"] = "id: ["


def of_another_kind(said: dict) -> None:
    said["schema"] = 2


@pytest.mark.parametrize(
    "bend",
    [
        softened,
        without_confusion,
        turned_aside,
        without_old_name,
        climbing,
        elsewhere,
        absolute,
        hidden,
        not_a_word,
        twice,
        unreadable,
        of_another_kind,
    ],
)
def test_a_journal_that_would_do_more_than_rename_is_not_followed(bend, root, form):
    said = journal_of(root, form)
    bend(said)
    assert said != journal_of(root, form)
    left_behind(root, said)
    before = tree(root)
    with pytest.raises(NotApplied, match=JOURNAL):
        recover(root)
    assert tree(root) == before


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        "null",
        '{"schema": 1}',
        '{"schema": 1, "steps": [{}]}',
        "[" * 100_000,
        '{"schema": 1, "steps": [{"was": "\\ud800", "file": "a", "before": "\\ud800", "after": ""}]}',
    ],
)
def test_a_journal_that_is_none_is_not_followed(text, root):
    left_behind(root, text)
    with pytest.raises(NotApplied, match="did not write it"):
        recover(root)


def test_a_link_in_place_of_a_journal_is_not_followed(root, form, tmp_path):
    (tmp_path / "aside.json").write_text(json.dumps(journal_of(root, form)))
    (root / JOURNAL).symlink_to(tmp_path / "aside.json")
    assert unfinished(root)
    with pytest.raises(NotApplied):
        recover(root)


def test_a_link_in_place_of_the_entries_is_not_followed(root, form, tmp_path):
    plan = plan_of(root, form)
    shutil.move(root / TAXA, tmp_path / "aside")
    (root / TAXA).symlink_to(tmp_path / "aside")
    with pytest.raises(NotApplied, match="leads elsewhere"):
        apply(plan, root)


def test_a_link_in_place_of_an_entry_is_not_followed(root, form, tmp_path):
    plan = plan_of(root, form)
    shutil.move(root / TAXA / "fictum.yaml", tmp_path / "aside.yaml")
    (root / TAXA / "fictum.yaml").symlink_to(tmp_path / "aside.yaml")
    with pytest.raises(NotApplied, match="changed meanwhile"):
        apply(plan, root)


@pytest.mark.parametrize("file", ["fictum-commune", "fictum-novum", "fictum"])
def test_what_somebody_wrote_meanwhile_is_not_written_over(file, root, form):
    plan = plan_of(root, form)
    (root / TAXA / f"{file}.yaml").write_text("id: new\n", "utf-8")
    before = tree(root)
    with pytest.raises(NotApplied, match="changed meanwhile"):
        apply(plan, root)
    assert tree(root) == before
