"""The commands on names, as a person gives them: ages, opinions side by side, choices, and the review."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result

from sporeproof.cli import main
from sporeproof.findings import SAFETY_NOTE
from sporeproof.names.answers import Answer, written
from tests.conftest import ROOT
from tests.names.invented import ANSWERS, ENTRIES, lay, with_answers
from tests.release.edition import ENTRIES as EDITION_ENTRIES
from tests.release.edition import Edition, edition, published


def act(*words: str) -> Result:
    return CliRunner().invoke(main, words)


@pytest.fixture
def invented(tmp_path: Path) -> Path:
    """The small invented checklist, with the real schema."""
    shutil.copytree(ROOT / "schema", tmp_path / "schema")
    return tmp_path


def today(days_ago: int = 0) -> str:
    return (datetime.now(UTC).date() - timedelta(days=days_ago)).isoformat()


def asked(name: str, day: str, obtained: str = "live", outcome: str = "current", accepted: str = "") -> Answer:
    return Answer(name, outcome=outcome, accepted_name=accepted or name, obtained=obtained, checked_on=day)


HYDNUM = "Fictum bonum"
ENTRY = f"id: F9001\nname: {HYDNUM}\nrank: species\nedibility: {{verdict: unknown}}\nreview: {{state: unreviewed}}\n"


# ----- Age -----


@pytest.mark.parametrize(
    ("days_ago", "words", "found", "exit_code"),
    [
        (80, ("--max-age", "90d"), False, 0),
        (100, ("--max-age", "90d"), True, 0),
        (100, ("--max-age", "12w", "--complete"), True, 1),
        (100, ("--max-age", "6m", "--complete"), False, 0),
        (400, ("--max-age", "1Y"), True, 0),
        (4000, (), False, 0),
        (4000, ("--complete",), False, 0),
    ],
)
def test_only_a_limit_judges_age_and_complete_makes_it_an_error(invented, days_ago, words, found, exit_code):
    lay(invented, {"fictum-bonum": ENTRY}, [asked(HYDNUM, today(days_ago))])
    result = act("names", "check", *words, "--format", "json", "--dataset", str(invented))
    codes = {each["code"] for each in json.loads(result.stdout)["findings"]}
    assert ("name.answer-too-old" in codes) is found
    assert result.exit_code == exit_code


def test_the_day_is_printed_beside_the_report_and_not_into_it(invented):
    lay(invented, {"fictum-bonum": ENTRY}, [asked(HYDNUM, today())])
    result = act("names", "check", "--max-age", "90d", "--quiet", "--dataset", str(invented))
    assert f"Today is {today()}: an answer from before {today(90)} is too old.\n" in result.stderr
    assert "Today is" not in result.stdout


def test_an_age_that_is_none_is_refused_in_a_sentence(invented):
    result = act("names", "check", "--max-age", "soon", "--dataset", str(invented))
    assert result.exit_code == 2
    assert "`soon` is no age: write a whole number" in result.output


# ----- Opinions -----


def test_opinions_stand_side_by_side_and_only_where_they_disagree(invented):
    answers = [
        asked(HYDNUM, "2026-11-25"),
        asked(HYDNUM, "2026-11-24", "compiled", "renamed", "Fictum melius"),
        asked("Fictum vetus", "2026-11-25"),
        asked("Fictum vetus", "2026-11-25", "registry-taxonomy"),
    ]
    entry = ENTRY.replace("edibility", "former_names: [Fictum vetus]\nedibility")
    lay(invented, {"fictum-bonum": entry}, answers)
    result = act("names", "check", "--opinions", "--dataset", str(invented))
    assert result.exit_code == 0
    lines = result.output.splitlines()
    assert f"{HYDNUM}, current name of {HYDNUM} (dataset/taxa/fictum-bonum.yaml:2)" in lines
    assert [line.split()[:2] for line in lines if line.startswith("> ")] == [[">", "live"]]
    assert any(line.startswith("  compiled, unconfirmed") and "Fictum melius" in line for line in lines)
    assert "Fictum vetus" not in result.output
    assert lines[-1] == SAFETY_NOTE
    told = json.loads(act("names", "check", "--opinions", "--format", "json", "--dataset", str(invented)).stdout)
    assert [each["name"] for each in told["names"]] == [HYDNUM]
    assert told["asked"] == 2


def test_opinions_are_written_to_a_file(invented, tmp_path):
    lay(invented, {"fictum-bonum": ENTRY}, [])
    out = tmp_path / "opinions.txt"
    assert act("names", "check", "--opinions", "--output", str(out), "--dataset", str(invented)).output == ""
    assert out.read_text("utf-8").startswith("No answers disagree; 0 names")
    assert out.read_text("utf-8").endswith(SAFETY_NOTE + "\n")


def test_opinions_say_that_the_record_is_broken(invented):
    lay(invented, {"fictum-bonum": ENTRY}, [])
    with (invented / "dataset" / "names.csv").open("a", encoding="utf-8") as record:
        record.write("Fictum bonum,only two\n")
    assert "cannot be read whole" in act("names", "check", "--opinions", "--dataset", str(invented)).output


@pytest.mark.parametrize("words", [("--complete",), ("--max-age", "1y"), ("--quiet",), ("--format", "sarif")])
def test_opinions_judge_nothing(words):
    result = act("names", "check", "--opinions", *words)
    assert result.exit_code == 2
    assert "--opinions judges nothing" in result.output


# ----- A person's choice -----


def test_a_choice_is_carried_out_and_told(invented):
    answers = [*ANSWERS, Answer("Fictum rarum", outcome="respelled", accepted_name="Fictum rarius", obtained="live")]
    lay(invented, ENTRIES, answers)
    words = ("names", "apply", "--accept", "Fictum rarum=Fictum rarius", "--dataset", str(invented))
    tried = act(*words, "--dry-run")
    assert tried.exit_code == 0
    assert "Fictum rarum would be renamed to Fictum rarius: dataset/taxa/fictum-rarius.yaml\n" in tried.output
    assert (invented / "dataset/taxa/fictum-rarum.yaml").exists()
    done = act(*words)
    assert done.exit_code == 0
    assert done.output.endswith(SAFETY_NOTE + "\n")
    assert "Fictum falsum renamed" not in done.output
    assert "kind: misspelling" in (invented / "dataset/taxa/fictum-rarius.yaml").read_text("utf-8")


def test_a_choice_that_is_not_offered_says_what_is(invented):
    lay(invented, ENTRIES, with_answers(("Fictum rarum", "Mendax rarus")))
    result = act("names", "apply", "--accept", "Fictum rarum=Fictum rarius", "--dataset", str(invented))
    assert result.exit_code == 1
    assert "Fictum rarum is not renamed: No answer on record offers Fictum rarius for Fictum rarum." in result.output
    assert "Offered: Mendax rarus." in result.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--accept", "Fictum rarum"), "is no choice"),
        (("--accept", "Fictum nullum=Fictum rarum"), "No entry bears Fictum nullum"),
        (("--accept", "Fictum rarum=Mendax rarus", "--since", "soon"), "`soon` is no version"),
    ],
)
def test_what_cannot_be_understood_is_said_and_nothing_changes(invented, words, said):
    lay(invented, ENTRIES, ANSWERS)
    result = act("names", "apply", *words, "--dataset", str(invented))
    assert result.exit_code == 2
    assert said in result.output
    assert (invented / "dataset/taxa/fictum-commune.yaml").exists()


TWIN = "Fictum gemellum"


@pytest.fixture
def twins(tmp_path: Path) -> Path:
    """The real dataset, where one deadly species has an invented twin that an invented answer calls the same."""
    for part in ("dataset", "schema"):
        shutil.copytree(ROOT / part, tmp_path / part)
    (entry,) = (tmp_path / "dataset/taxa").glob("galerina-marginata.yaml")
    lines = entry.read_text("utf-8").splitlines(keepends=True)
    text, skipping = "", False
    for line in lines:
        skipping = line.startswith("former_names:") or (skipping and line.startswith((" ", "#")))
        text += "" if skipping else line
    text = text.replace("name: Galerina marginata", f"name: {TWIN}", 1)
    text = text.replace(next(line for line in lines if line.startswith("id:")), "id: F9999\n", 1)
    (tmp_path / "dataset/taxa/fictum-gemellum.yaml").write_text(text, "utf-8")
    with (tmp_path / "dataset/names.csv").open("a", encoding="utf-8") as record:
        width = (tmp_path / "dataset/names.csv").read_text("utf-8").splitlines()[0].count(",") + 1
        cells = [TWIN, "", "renamed", "Galerina marginata", "", "live", "Invented", "Invented", "1", "2", "EXACT", ""]
        record.write(",".join([*cells, "2026-11-25", *[""] * (width - len(cells) - 1)]) + "\n")
    return tmp_path


def test_a_merge_in_the_real_dataset_leaves_it_without_an_error(twins):
    words = ("names", "apply", "--accept", f"{TWIN}=Galerina marginata", "--dataset", str(twins))
    assert "say with --since" in act(*words).output
    done = act(*words, "--since", "0.2.0")
    assert done.exit_code == 0, done.output
    assert f"{TWIN} merged into Galerina marginata: dataset/taxa/galerina-marginata.yaml\n" in done.output
    assert not (twins / "dataset/taxa/fictum-gemellum.yaml").exists()
    assert "F9999: {was: Fictum gemellum, replaced_by: [" in (twins / "dataset/retired.yaml").read_text("utf-8")
    assert act("check", "--quiet", "--dataset", str(twins)).exit_code == 0
    assert "Galerina marginata" in act("show", "F9999", "--dataset", str(twins)).output.splitlines()[0]


def test_a_milder_one_does_not_swallow_a_deadly_one(twins):
    kept = twins / "dataset/taxa/galerina-marginata.yaml"
    kept.write_text(kept.read_text("utf-8").replace("verdict: deadly", "verdict: poisonous", 1), "utf-8")
    words = ("--accept", f"{TWIN}=Galerina marginata", "--since", "0.2.0")
    result = act("names", "apply", *words, "--dataset", str(twins))
    assert result.exit_code == 1
    assert "  1. dataset/taxa/galerina-marginata.yaml:" in result.output
    assert "let the verdict be deadly" in result.output
    assert (twins / "dataset/taxa/fictum-gemellum.yaml").exists()


# ----- The review -----


def entries_of_the_edition() -> dict[str, str]:
    """The invented edition of the release tests as entries' files."""
    return {
        each["name"].lower().replace(" ", "-"): yaml.safe_dump(each, sort_keys=False)
        for each in yaml.safe_load(EDITION_ENTRIES)
    }


@pytest.fixture
def package(form, tmp_path: Path) -> Path:
    """A released package in which one name was renamed, one unknown, and all others current."""

    def asked_before(made: Edition) -> None:
        outcomes = {"Fictum letale": "renamed", "Fictum vetus": "unknown"}
        names = edition(form)["names"]
        made.rows["names"] = [
            (name, by, id, role, "Invented", "2026-01-01", "live", outcomes.get(name, "current"))
            for name, by, id, role, *_ in names
        ]

    return published(form, tmp_path / "dist", asked_before).folder


def test_a_review_compares_with_a_release(invented, package):
    answers = [
        Answer("Fictum commune", "", "renamed", "Mendax communis", "", "live", checked_on=today()),
        asked("Fictum vulgare", today(), outcome="unknown"),
        asked("Fictum letale", today()),
        asked("Fictum vetus", today(), outcome="unknown"),
        asked("Fictum dubium", today(4000)),
    ]
    lay(invented, entries_of_the_edition(), answers)
    out = invented / "review.md"
    for given in (package, package / "datapackage.json"):
        words = ("--previous", str(given), "--output", str(out), "--dataset", str(invented))
        result = act("names", "review", *words)
        assert result.exit_code == 0, result.output
    text = out.read_text("utf-8")
    assert "Compared with fernhollow-data 0.1.0." in text
    assert f"# Names, reviewed on {today()}" in text
    titles = [line for line in text.splitlines() if line.startswith("##")]
    assert titles == [
        "## Called otherwise today (1)",
        "### Fictum commune Fern.: was current, is renamed",
        "## Not held (1)",
        "### Fictum vetus: still unknown",
        "## Moved back (1)",
        "## Never asked (1)",
        "## Asked too long ago (1)",
    ]
    assert "sporeproof names apply --accept 'Fictum commune=Mendax communis'\n" in text
    assert text.endswith(f"**{SAFETY_NOTE}**\n")


def test_a_review_compares_with_a_day(invented):
    answers = [
        asked(HYDNUM, "2026-01-01"),
        Answer(HYDNUM, "", "renamed", "Mendax bonus", "", "live", checked_on="2026-11-01"),
    ]
    lay(invented, {"fictum-bonum": ENTRY}, answers)
    result = act("names", "review", "--since", "2026-06-01", "--max-age", "100y", "--dataset", str(invented))
    assert f"### {HYDNUM}: was current, is renamed\n" in result.stdout
    assert "Compared with what was on record before 2026-06-01." in result.stdout
    later = act("names", "review", "--since", "2026-11-20", "--max-age", "100y", "--dataset", str(invented))
    assert f"### {HYDNUM}: still renamed\n" in later.stdout


def test_a_review_compares_with_nothing_and_prints_the_day(invented):
    lay(invented, {"fictum-bonum": ENTRY}, [asked(HYDNUM, today())])
    result = act("names", "review", "--dataset", str(invented))
    assert "Compared with nothing." in result.stdout
    assert "Nothing needs an edit." in result.stdout
    assert f"Today is {today()}" in result.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--previous", "README.md"), "README.md is no release"),
        (("--previous", "schema"), "datapackage.json"),
        (("--previous", "schema", "--since", "2026-01-01"), "not both"),
        (("--since", "last year"), "does not match"),
        (("--max-age", "long"), "is no age"),
    ],
)
def test_what_a_review_cannot_compare_with_is_said(words, said, monkeypatch):
    monkeypatch.chdir(ROOT)
    result = act("names", "review", *words)
    assert result.exit_code == 2
    assert said in result.output
    assert "Traceback" not in result.output


def test_a_review_of_the_real_dataset_can_be_made(monkeypatch, tmp_path):
    monkeypatch.chdir(ROOT)
    result = act("names", "review", "--output", str(tmp_path / "review.md"))
    assert result.exit_code == 0
    assert "names looked at" in (tmp_path / "review.md").read_text("utf-8")


def test_a_review_is_never_written_among_the_entries(invented):
    lay(invented, {"fictum-bonum": ENTRY}, [])
    result = act("names", "review", "--output", str(invented / "dataset/review.md"), "--dataset", str(invented))
    assert result.exit_code == 2
    assert not (invented / "dataset/review.md").exists()


def test_a_review_compares_with_an_earlier_copy_of_the_record(invented):
    lay(invented, {"fictum-bonum": ENTRY}, [asked(HYDNUM, today())])
    before = invented / "before.csv"
    before.write_bytes((invented / "dataset/names.csv").read_bytes())
    (invented / "dataset/names.csv").write_bytes(
        written([Answer(HYDNUM, "", "renamed", "Mendax bonus", "", "live", checked_on=today())])
    )
    result = act("names", "review", "--previous", str(before), "--dataset", str(invented))
    assert "Compared with the record before.csv." in result.stdout
    assert f"### {HYDNUM}: was current, is renamed\n" in result.stdout
    before.write_text("name\n", "utf-8")
    broken = act("names", "review", "--previous", str(before), "--dataset", str(invented))
    assert broken.exit_code == 2
    assert "cannot be read as an earlier record" in broken.output
