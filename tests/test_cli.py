"""The command line: exit codes, where things go, and that nothing ends in a traceback."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from sporeproof.checks import judge as judging
from sporeproof.checks.registry import Rule, all_rules
from sporeproof.cli import FORMATS, is_colourful, main
from sporeproof.findings import SAFETY_NOTE, Level
from sporeproof.names import journal
from sporeproof.records.read import TAXA
from tests.conftest import ROOT


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    for part in ("dataset", "schema"):
        shutil.copytree(ROOT / part, tmp_path / part)
    return tmp_path


def act(*words: str) -> Result:
    return CliRunner().invoke(main, words)


def spoil(root: Path, old: str = "region: GB", new: str = "region: NO") -> Path:
    path = root / TAXA / "hydnum-repandum.yaml"
    path.write_text(path.read_text("utf-8").replace(old, new), "utf-8")
    return path


def test_exit_code_is_0_where_nothing_is_wrong(copy):
    assert act("check", "--dataset", str(copy)).exit_code == 0


def test_exit_code_is_1_where_an_error_stands(copy):
    spoil(copy)
    assert act("check", "--dataset", str(copy)).exit_code == 1


def test_a_rule_that_crashes_is_one_finding_and_exit_code_2(copy, monkeypatch):
    def find(entry, checklist, form):
        raise ZeroDivisionError("of its own making")
        yield

    broken = Rule("entry.broken", (Level.ERROR,), "entry", find, "A rule.")
    monkeypatch.setattr(judging, "all_rules", lambda: {**all_rules(), "entry.broken": broken})
    result = act("check", "--dataset", str(copy), "--quiet", f"{copy / TAXA}/hydnum-repandum.yaml")
    assert result.exit_code == 2
    assert result.output.count("run.rule-crashed\n") >= 1
    assert "entry.broken" in result.output
    assert "Traceback" not in result.output
    assert act("explain", "run.rule-crashed").exit_code == 0


@pytest.mark.parametrize(
    "words",
    [
        ("check", "--dataset", "nowhere"),
        ("check", "nowhere.yaml"),
        ("check", "--format", "runes"),
        ("explain", "safety.edible-without-confusions"),
        ("sing",),
        ("release", "--previous", "nowhere"),
        ("new", "boletus"),
    ],
)
def test_exit_code_is_2_where_the_command_cannot_do_its_work(words):
    result = act(*words)
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert result.output.strip()


def test_an_unknown_code_is_answered_with_the_nearest(copy):
    assert "`safety.edible-without-confusion`" in act("explain", "safety.edible-without-confusions").output


def test_no_dataset_anywhere_is_said(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    result = act("check")
    assert result.exit_code == 2
    assert "--dataset" in result.output


@pytest.mark.parametrize("name", FORMATS)
def test_a_report_is_written_to_a_file(copy, name, tmp_path):
    spoil(copy)
    out = tmp_path / "report"
    result = act("check", "--dataset", str(copy), "--format", name, "--output", str(out))
    assert result.exit_code == 1
    assert result.output == ""
    assert "yaml-trap" in out.read_text("utf-8")


def test_a_report_that_cannot_be_written_is_said(copy):
    result = act("check", "--dataset", str(copy), "--output", str(copy / "no" / "such" / "folder"))
    assert result.exit_code == 2
    assert "Traceback" not in result.output


def test_a_report_never_overwrites_an_entry(copy):
    path = copy / TAXA / "hydnum-repandum.yaml"
    before = path.read_bytes()
    result = act("check", "--dataset", str(copy), "--output", str(path))
    assert result.exit_code == 2
    assert path.read_bytes() == before


def test_names_check_sees_a_broken_record(copy):
    names = copy / "dataset" / "names.csv"
    names.write_text(names.read_text("utf-8").replace(",current,", ",curent,", 1), "utf-8")
    assert act("names", "check", "--quiet", "--dataset", str(copy)).exit_code == 1


def test_json_is_the_contract(copy):
    spoil(copy)
    report = json.loads(act("check", "--dataset", str(copy), "--format", "json").output)
    assert report["schema"] == 1
    (error,) = [each for each in report["findings"] if each["level"] == "error"]
    assert error["code"] == "file.yaml-trap"
    assert error["file"] == f"{TAXA}/hydnum-repandum.yaml"
    assert report["summary"]["errors"] == 1


def test_a_named_entry_is_judged_alone(copy):
    spoil(copy)
    other = str(copy / TAXA / "mucidula-mucida.yaml")
    assert act("check", "--dataset", str(copy), other).exit_code == 0
    assert act("check", "--dataset", str(copy), str(copy / TAXA / "hydnum-repandum.yaml")).exit_code == 1


def test_a_named_entry_finds_what_it_leads_to_by_a_former_name(copy):
    path = copy / TAXA / "mucidula-mucida.yaml"
    path.write_text(path.read_text("utf-8").replace("with: Amanita phalloides", "with: Agaricus phalloides"), "utf-8")
    result = act("check", "--dataset", str(copy), str(path))
    assert result.exit_code == 0
    assert "reference.by-former-name" in result.output


def test_a_file_beside_the_entries_asks_for_the_whole(copy):
    spoil(copy)
    assert act("check", "--dataset", str(copy), str(copy / "dataset" / "sources.yaml")).exit_code == 1


def test_no_release_while_an_error_stands(copy):
    spoil(copy)
    result = act("release", "--dataset", str(copy))
    assert result.exit_code == 1
    assert "file.yaml-trap" in result.output
    assert not (copy / "dist").exists()


def test_no_release_of_an_entry_without_a_number(copy):
    path = copy / TAXA / "hydnum-repandum.yaml"
    path.write_text(path.read_text("utf-8").replace("id: F0005", "id: new"), "utf-8")
    result = act("release", "--dataset", str(copy))
    assert result.exit_code == 2
    assert "Hydnum repandum has no number yet" in result.output
    assert act("number", "--dataset", str(copy)).exit_code == 0
    numbers = [
        int(found) for each in path.parent.glob("*.yaml") for found in re.findall(r"^id: F(\d+)", each.read_text())
    ]
    assert f"id: F{max(numbers):04}" in path.read_text("utf-8")
    assert len(set(numbers)) == len(numbers)


def test_renames_begun_and_not_finished_stop_a_check(copy):
    (copy / journal.JOURNAL).write_text("{}", "utf-8")
    for words in (("check",), ("release",), ("names", "apply", "--dry-run")):
        result = act(*words, "--dataset", str(copy))
        assert result.exit_code == 2
        assert "names apply" in result.output or "names-apply" in result.output


def test_a_new_entry_explains_itself_and_never_overwrites(copy):
    assert act("new", "Fictum commune", "--dataset", str(copy)).exit_code == 0
    text = (copy / TAXA / "fictum-commune.yaml").read_text("utf-8")
    assert "id: new" in text
    again = act("new", "Fictum commune", "--dataset", str(copy))
    assert again.exit_code == 2
    assert text == (copy / TAXA / "fictum-commune.yaml").read_text("utf-8")
    assert "Galerina" in act("new", "Galerina autumnalis", "--dataset", str(copy)).output


def test_names_never_asked_are_an_error_with_complete(copy):
    names = copy / "dataset" / "names.csv"
    lines = names.read_text("utf-8").splitlines(keepends=True)
    names.write_text("".join(line for line in lines if not line.startswith("Hydnum repandum,")), "utf-8")
    assert act("names", "check", "--dataset", str(copy)).exit_code == 0
    assert act("names", "check", "--complete", "--dataset", str(copy)).exit_code == 1


@pytest.mark.parametrize("words", [("explain",), ("number",), ("names", "apply"), ("check",), ("release",)])
def test_people_are_told_what_this_is_not(words, copy):
    dataset = () if words == ("explain",) else ("--dataset", str(copy))
    assert SAFETY_NOTE in act(*words, *dataset).output


def test_no_text_of_a_file_reaches_the_terminal_raw(copy):
    spoil(copy, "name: Hydnum repandum", 'name: "Hydnum\\e[31m repandum"')
    assert "\x1b" not in act("check", "--dataset", str(copy)).output


def test_it_runs_as_a_module():
    line = [sys.executable, "-m", "sporeproof", "--version"]
    assert "sporeproof" in subprocess.run(line, capture_output=True, text=True, check=True).stdout


def test_the_summary_counts_and_leaves_the_notices_out(copy):
    result = act("check", "--summary", "--dataset", str(copy))
    assert result.exit_code == 0
    assert "Taxa by verdict\n" in result.output
    assert "Completeness by character\n" in result.output
    assert ": notice " not in result.output
    assert result.output.endswith(SAFETY_NOTE + "\n")


def test_the_summary_does_not_hide_an_error(copy):
    spoil(copy)
    result = act("check", "--summary", "--dataset", str(copy))
    assert result.exit_code == 1
    assert ": error " in result.output


def test_the_summary_of_named_entries_counts_these(copy):
    result = act(
        "check", "--summary", "--format", "json", "--dataset", str(copy), f"{copy / TAXA}/hydnum-repandum.yaml"
    )
    by_verdict = json.loads(result.output)["statistics"][0]["rows"]
    assert [count for _, count in by_verdict if count] == [1]


def test_the_summary_is_refused_where_a_format_has_no_place_for_it(copy):
    result = act("check", "--summary", "--format", "sarif", "--dataset", str(copy))
    assert result.exit_code == 2
    assert "--summary and --grades need --format text or json" in result.output


def test_a_rename_that_waits_for_a_person_is_not_a_success(copy):
    answer = "Hydnum repandum,,renamed,Hydnum,,registry-taxonomy,,Invented,1,2,EXACT,,2026-11-25,,,\n"
    names = copy / "dataset/names.csv"
    kept = [line for line in names.read_text("utf-8").splitlines(keepends=True) if "Hydnum repandum" not in line]
    names.write_text("".join([*kept, answer]), "utf-8")
    for words in (("--dry-run",), ()):
        result = act("names", "apply", *words, "--dataset", str(copy))
        assert "Hydnum repandum is not renamed:" in result.output
        assert result.exit_code == 1


@pytest.mark.parametrize(
    ("given", "colourful"),
    [({"TERM": "xterm"}, True), ({"TERM": "dumb"}, False), ({"TERM": "xterm", "NO_COLOR": "1"}, False)],
)
def test_colours_are_left_out_where_they_are_not_welcome(given, colourful, monkeypatch):
    monkeypatch.delenv("NO_COLOR", raising=False)
    for name, value in given.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert is_colourful() is colourful


def test_a_reader_that_has_seen_enough_is_no_error():
    """As with `sporeproof explain | head -1`, whose reader closes the pipe."""
    line = [sys.executable, "-c", "from sporeproof.cli import main; main()", "explain"]
    with subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        process.stdout.close()
        assert process.stderr.read() == b""


def test_each_reason_of_a_refusal_stands_on_its_own_line(copy):
    (copy / "dataset/package.yaml").unlink()
    result = act("release", "--dataset", str(copy), "--output", str(copy / "dist"))
    assert result.exit_code == 2
    assert "does not give: name.\n" in result.output


@pytest.mark.parametrize("name", ["Armillaria mellea", "Armillariella mellea", "honey fungus", "F0014"])
def test_a_species_is_shown_by_any_of_its_names(copy, name):
    result = act("show", name, "--dataset", str(copy))
    assert result.exit_code == 0
    assert "Armillaria mellea" in result.output.splitlines()[0]
    assert "Cook long and hot" in result.output
    assert result.output.endswith(SAFETY_NOTE + "\n")


def test_two_species_stand_side_by_side(copy):
    result = act("compare", "sheathed woodtuft", "Galerina marginata", "--dataset", str(copy))
    assert result.exit_code == 0
    assert "NOT ENOUGH" in result.output
    assert result.output.endswith(SAFETY_NOTE + "\n")


@pytest.mark.parametrize("words", [("show", "death cap"), ("compare", "death cap", "field mushroom")])
def test_what_is_told_comes_as_json_too(copy, words):
    result = act(*words, "--format", "json", "--dataset", str(copy))
    assert json.loads(result.output)["safety_note"] == SAFETY_NOTE


@pytest.mark.parametrize("words", [("show", "Amanita falloides"), ("compare", "death cap", "Amanita falloides")])
def test_a_name_that_nothing_bears_is_answered_with_the_nearest(copy, words):
    result = act(*words, "--dataset", str(copy))
    assert result.exit_code == 2
    assert "No entry bears the name `Amanita falloides`" in result.output
    assert "Amanita phalloides" in result.output


def test_a_name_that_may_mean_several_lists_them(copy):
    other = copy / TAXA / "hydnum-repandum.yaml"
    other.write_text(other.read_text("utf-8").replace("vernacular: {en: [", "vernacular: {en: [Death Cap, "), "utf-8")
    result = act("show", "death cap", "--dataset", str(copy))
    assert result.exit_code == 2
    assert "may mean several entries" in result.output
    assert "Hydnum repandum (F0005)" in result.output


def test_a_species_is_not_compared_with_itself(copy):
    result = act("compare", "death cap", "Amanita phalloides", "--dataset", str(copy))
    assert result.exit_code == 2
    assert "both Amanita phalloides" in result.output


def test_what_was_seen_rules_some_out_and_names_nothing(copy):
    seen = ("body=cap-and-stem", "hymenophore=gills", "ring=present", "grows-from=visible-wood", "gill-colour=white")
    result = act("doubt", *seen, "--month", "10", "--dataset", str(copy))
    assert result.exit_code == 0
    assert "This answer names nothing." in result.output
    assert result.output.endswith(SAFETY_NOTE + "\n")


def test_what_cannot_be_understood_rules_nothing_out(copy):
    result = act("doubt", "bdy=cap", "gill-colour=wite", "--dataset", str(copy))
    assert result.exit_code == 2
    assert "Did you mean `body`?" in result.output
    assert "Did you mean `white`?" in result.output


def test_a_doubt_says_which_files_it_could_not_read(copy):
    spoil(copy)
    result = act("doubt", "body=ball", "--dataset", str(copy))
    assert "dataset/taxa/hydnum-repandum.yaml" in result.output


def test_a_region_that_is_none_is_refused(copy):
    result = act("doubt", "body=ball", "--region", "Wales", "--dataset", str(copy))
    assert result.exit_code == 2
    assert "a country or region code" in result.output


def test_a_proof_is_asked_for_by_any_name_and_only_of_what_is_eaten(copy):
    asked = act("proof", "Wood Hedgehog", "--dataset", str(copy))
    assert asked.exit_code == 0
    assert "Not excluded" in asked.output
    assert SAFETY_NOTE in asked.output
    refused = act("proof", "Galerina marginata", "--dataset", str(copy))
    assert refused.exit_code == 2
    assert "is deadly here" in refused.output
    assert act("proof", "--dataset", str(copy)).exit_code == 2
    assert act("proof", "Wood Hedgehog", "--all", "--dataset", str(copy)).exit_code == 2


@pytest.mark.parametrize("format_", ["text", "markdown", "json"])
def test_all_proofs_name_what_they_leave(copy, format_):
    result = act("proof", "--all", "--format", format_, "--dataset", str(copy))
    assert result.exit_code == 0
    assert "Galerina marginata" in result.output or "Amanita muscaria" in result.output


def test_gaps_say_which_files_were_not_read_whole(copy):
    entry = copy / TAXA / "hydnum-repandum.yaml"
    entry.write_text(entry.read_text("utf-8").replace("region: GB", "region: NO"), "utf-8")
    result = act("gaps", "--top", "2", "--dataset", str(copy))
    assert result.exit_code == 0
    assert "Not read whole" in result.output
    assert "hydnum-repandum.yaml" in result.output
    assert json.loads(act("gaps", "--format", "json", "--dataset", str(copy)).output)["schema"] == 1


def test_a_threshold_that_misses_pairs_fails_the_calibration(copy):
    assert act("calibrate", "--dataset", str(copy)).exit_code == 0
    package = copy / "dataset" / "package.yaml"
    package.write_text(package.read_text("utf-8").replace("threshold: 0.", "threshold: 0.9"), "utf-8")
    result = act("calibrate", "--format", "json", "--dataset", str(copy))
    assert result.exit_code == 1
    assert json.loads(result.output)["committed"] > 0.9


def test_grades_stand_in_place_of_the_notices(copy):
    result = act("check", "--grades", "--format", "json", "--dataset", str(copy))
    told = json.loads(result.output)["statistics"]
    assert [each["title"] for each in told] == ["Edible taxa by grade", "Grade of each edible taxon"]
    assert sum(count for _, count in told[0]["rows"]) == len(told[1]["rows"])


def test_nothing_is_proved_while_a_suspect_cannot_be_read(copy):
    """One that `suspects.yaml` does not name would else vanish, and the grade could rise."""
    entry = copy / TAXA / "psilocybe-semilanceata.yaml"
    entry.write_text("id: [\n", "utf-8")
    for words in (("proof", "Wood Hedgehog"), ("proof", "--all")):
        result = act(*words, "--dataset", str(copy))
        assert result.exit_code == 2
        assert "psilocybe-semilanceata.yaml" in result.output


@pytest.mark.parametrize(("old", "new"), [("region: GB", "region: NO"), ("id: F0005", "id: [")])
@pytest.mark.parametrize("format_", ["text", "json"])
def test_nothing_is_calibrated_while_an_entry_cannot_be_read(copy, old, new, format_):
    """Its pairs would vanish, and the recall could rise."""
    spoil(copy, old, new)
    result = act("calibrate", "--format", format_, "--dataset", str(copy))
    assert result.exit_code == 2
    assert result.output.count("hydnum-repandum.yaml") == 1
    assert "nothing is calibrated until then" in result.output
    assert "threshold" not in result.output


@pytest.mark.parametrize(("old", "new"), [("region: GB", "region: NO"), ("id: F0005", "id: [")])
@pytest.mark.parametrize("named", [(), (f"{TAXA}/calocybe-gambosa.yaml",)])
def test_no_grade_is_told_beside_an_entry_that_cannot_be_read(copy, old, new, named):
    """A grade made without a suspect could be too high; of named entries too, whose suspects are all others."""
    file = f"{TAXA}/{spoil(copy, old, new).name}"
    paths = [str(copy / each) for each in named]
    result = act("check", "--grades", "--format", "json", "--dataset", str(copy), *paths)
    (told,) = json.loads(result.output)["statistics"]
    assert told["title"].startswith("No grades: ")
    assert told["rows"] == [[file]]
    text = act("check", "--grades", "--dataset", str(copy), *paths).output
    assert "No grades: " in text
    assert "taxa by grade" not in text
