"""The workflows and hooks say commands that exist, ask for no right that they do not need, and do what they claim."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
from pathlib import Path
from typing import Any

import click
import pytest
import yaml

from sporeproof.cli import main
from sporeproof.findings import SAFETY_NOTE
from sporeproof.names.age import read_age
from tests.conftest import ROOT
from tests.names.invented import ANSWERS, ENTRIES, lay

WORKFLOWS = sorted((ROOT / ".github" / "workflows").glob("*.yaml"))
NAMES = ROOT / ".github" / "workflows" / "names.yaml"
HOOKS = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
COMMAND = re.compile(r"^\s*(?:if |! )?(sporeproof [^|>&\n]*)", re.MULTILINE)


def read(path: Path) -> dict[Any, Any]:
    return yaml.safe_load(path.read_text("utf-8"))


def steps(path: Path) -> list[dict[str, Any]]:
    return [step for job in read(path)["jobs"].values() for step in job["steps"]]


def scripts(path: Path) -> list[str]:
    return [step["run"] for step in steps(path) if "run" in step]


def script_named(words: str) -> str:
    (found,) = [step["run"] for step in steps(NAMES) if words in step.get("name", "")]
    return found


def told() -> list[str]:
    """Every command of ours that a workflow or a hook runs."""
    lines = [line for path in WORKFLOWS for script in scripts(path) for line in COMMAND.findall(script)]
    return [*lines, *(hook["entry"] for hook in HOOKS)]


@pytest.mark.parametrize("line", told())
def test_every_command_and_option_exists(line):
    _, *words = shlex.split(line)
    command: click.Command = main
    while isinstance(command, click.Group):
        assert words[0] in command.commands, line
        command = command.commands[words.pop(0)]
    known = {option: each for each in command.params for option in each.opts}
    for position, word in enumerate(words):
        if word.startswith("-"):
            assert word in known, line
            kind = known[word]
            if isinstance(kind.type, click.Choice):
                assert words[position + 1] in kind.type.choices, line
            if word == "--max-age":
                read_age(words[position + 1])


def test_the_commands_of_the_weekly_run_are_all_there():
    found = {" ".join(line.split()[1:3]) for script in scripts(NAMES) for line in COMMAND.findall(script)}
    assert found == {"names refresh", "names review", "names apply", "names check", "check --quiet"}


def test_a_name_is_asked_again_before_it_counts_as_too_old():
    ages = {
        command: read_age(re.search(r"--max-age (\w+)", line)[1])
        for script in scripts(NAMES)
        for line in COMMAND.findall(script)
        if "--max-age" in line and (command := line.split()[2])
    }
    assert ages["refresh"] < ages["check"]


@pytest.mark.parametrize("path", WORKFLOWS, ids=lambda path: path.name)
def test_only_the_two_first_party_actions_are_used(path):
    assert {step["uses"] for step in steps(path) if "uses" in step} == {
        "actions/checkout@v4",
        "actions/setup-python@v5",
    }


def test_it_runs_weekly_or_by_hand_and_never_on_what_others_send():
    triggers = read(NAMES)[True]  # YAML 1.1 reads `on` so
    assert set(triggers) == {"schedule", "workflow_dispatch"}
    (each,) = triggers["schedule"]
    minute, hour, day, month, weekday = each["cron"].split()
    assert (day, month) == ("*", "*")
    assert minute.isdigit()
    assert hour.isdigit()
    assert weekday.isdigit()


def test_it_has_no_right_that_it_does_not_need():
    workflow = read(NAMES)
    assert workflow["permissions"] == {}
    (job,) = workflow["jobs"].values()
    assert job["permissions"] == {"contents": "write", "pull-requests": "write"}
    assert job["timeout-minutes"] <= 60
    assert workflow["concurrency"] == {"group": "names", "cancel-in-progress": False}
    (checkout,) = [step for step in steps(NAMES) if "checkout" in step.get("uses", "")]
    assert checkout["with"]["persist-credentials"] is False
    assert [step["name"] for step in steps(NAMES) if "GH_TOKEN" in step.get("env", {})] == ["Propose it"]


def test_nothing_is_pushed_to_the_branch_that_people_use():
    (job,) = read(NAMES)["jobs"].values()
    assert job["env"]["BRANCH"].startswith("names/")
    pushes = [line.strip() for script in scripts(NAMES) for line in script.splitlines() if "git push" in line]
    assert pushes == ['git push origin "HEAD:refs/heads/$BRANCH"']
    assert "--force" not in "".join(scripts(NAMES))
    assert "gh pr merge" not in "".join(scripts(NAMES))


def test_no_word_from_outside_is_put_into_a_script():
    for path in WORKFLOWS:
        assert not [script for script in scripts(path) if "${{" in script]


@pytest.mark.parametrize("script", scripts(NAMES))
def test_every_script_can_be_read_by_the_shell(script):
    assert subprocess.run(["bash", "-n", "-c", script], capture_output=True, text=True).stderr == ""


# ----- The proposal, made in a repository of its own with a `gh` that only notes -----

GH = '#!/bin/sh\nprintf "%s\\n" "$*" >> "$GH_LOG"\n'


def git(folder: Path, *words: str) -> str:
    done = subprocess.run(["git", *words], cwd=folder, capture_output=True, text=True, check=True)
    return done.stdout.strip()


@pytest.fixture
def place(tmp_path: Path, monkeypatch) -> Path:
    """A checkout with an origin beside it, both of this test alone."""
    for name in ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(tmp_path / "gitconfig"))
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    (tmp_path / "gitconfig").write_text("[user]\nname = Nemo\nemail = nemo@fernhollow.invalid\n", "utf-8")
    git(tmp_path, "init", "--quiet", "--bare", "--initial-branch=main", "origin.git")
    git(tmp_path, "clone", "--quiet", "origin.git", "here")
    lay(tmp_path / "here", ENTRIES, ANSWERS)
    git(tmp_path / "here", "switch", "--quiet", "--create", "main")
    git(tmp_path / "here", "add", "--all")
    git(tmp_path / "here", "commit", "--quiet", "-m", "As it was")
    git(tmp_path / "here", "push", "--quiet", "origin", "main")
    for name in ("bin", "temp"):
        (tmp_path / name).mkdir()
    (tmp_path / "bin" / "gh").write_text(GH, "utf-8")
    (tmp_path / "bin" / "gh").chmod(0o755)
    (tmp_path / "temp" / "review.md").write_text("# Names\n\nä" * 20_000, "utf-8")
    return tmp_path


def propose(place: Path, checked: str = "0") -> subprocess.CompletedProcess:
    env = {
        **os.environ,
        "PATH": f"{place / 'bin'}{os.pathsep}{os.environ['PATH']}",
        "RUNNER_TEMP": str(place / "temp"),
        "GH_LOG": str(place / "gh.log"),
        "CHECKED": checked,
        "BASE": "main",
        "BRANCH": "names/7-1",
    }
    command = ["bash", "--noprofile", "--norc", "-eo", "pipefail", "-c", script_named("Propose")]
    return subprocess.run(command, cwd=place / "here", env=env, capture_output=True, text=True)


needs_git = pytest.mark.skipif(not shutil.which("git"), reason="there is no git here")


@needs_git
def test_nothing_is_proposed_where_nothing_changed(place):
    (place / "here" / "note.txt").write_text("left by something else", "utf-8")
    done = propose(place)
    assert done.returncode == 0, done.stderr
    assert "Nothing to propose." in done.stdout
    assert not (place / "gh.log").exists()


@needs_git
def test_a_branch_and_a_pull_request_say_that_a_person_must_read_them(place):
    here = place / "here"
    before = git(here, "rev-parse", "origin/main")
    entry = here / "dataset/taxa/fictum-rarum.yaml"
    entry.rename(entry.with_name("mendax-rarus.yaml"))
    (here / "dataset/.names-refresh.jsonl").write_text("left by a run", "utf-8")
    done = propose(place)
    assert done.returncode == 0, done.stderr
    origin = place / "origin.git"
    assert git(origin, "rev-parse", "main") == before
    assert git(origin, "log", "--format=%P", "-1", "names/7-1") == before
    message = git(origin, "log", "--format=%B", "-1", "names/7-1")
    assert "A person must read every edit before it is merged" in message
    assert SAFETY_NOTE in message
    changed = git(origin, "diff", "--name-status", "--no-renames", "main", "names/7-1").split()
    assert changed == ["D", "dataset/taxa/fictum-rarum.yaml", "A", "dataset/taxa/mendax-rarus.yaml"]
    calls = (place / "gh.log").read_text("utf-8").splitlines()
    assert calls[0] == "auth setup-git"
    assert calls[1].startswith("pr create --base main --head names/7-1 --title Names: what the checklist answered on ")
    assert len(calls) == 2
    body = (place / "temp" / "body.md").read_bytes()
    assert len(body) < 60_000
    text = body.decode("utf-8")
    assert "A person must read every edit" in text
    assert SAFETY_NOTE in text
    assert "no errors" in text
    assert "# Names" in text


@needs_git
def test_errors_are_said_in_the_pull_request(place):
    (place / "here" / "dataset/names.csv").write_bytes(b"name\n")
    assert propose(place, checked="1").returncode == 0
    assert "**Errors stand in this state.**" in (place / "temp" / "body.md").read_text("utf-8")


@needs_git
def test_a_push_that_fails_fails_the_run(place):
    (place / "here" / "dataset/names.csv").write_bytes(b"name\n")
    shutil.rmtree(place / "origin.git")
    assert propose(place).returncode != 0


# ----- The other steps, with a program that only ends as it is told -----


def run_step(place: Path, words: str, codes: dict[str, int], **more: str) -> subprocess.CompletedProcess:
    """Run a step where each command of ours, such as `names refresh`, ends with a code."""
    program = place / "bin" / "sporeproof"
    cases = "".join(f'  "{command}"*) exit {code};;\n' for command, code in codes.items())
    program.parent.mkdir(exist_ok=True)
    writes = 'for word; do test "$last" = --output && touch "$word"; last=$word; done\n'
    program.write_text(f'#!/bin/sh\n{writes}case "$*" in\n{cases}esac\n', "utf-8")
    program.chmod(0o755)
    (place / "dataset").mkdir(exist_ok=True)
    (place / "dataset" / "names.csv").touch()
    kept = {name: str(place / name.lower()) for name in ("GITHUB_OUTPUT", "GITHUB_ENV", "GITHUB_STEP_SUMMARY")}
    path = f"{program.parent}{os.pathsep}{os.environ['PATH']}"
    env = {**os.environ, **kept, "PATH": path, "RUNNER_TEMP": str(place), **more}
    command = ["bash", "--noprofile", "--norc", "-eo", "pipefail", "-c", script_named(words)]
    return subprocess.run(command, cwd=place, env=env, capture_output=True, text=True)


@pytest.mark.parametrize(("code", "goes_on"), [(0, True), (1, True), (2, False)])
def test_a_service_that_is_not_reached_fails_the_run_at_once(code, goes_on, tmp_path):
    done = run_step(tmp_path, "Ask the checklist", {"names refresh": code})
    assert (done.returncode == 0) is goes_on
    assert (tmp_path / "github_output").read_text("utf-8") == f"code={code}\n"
    assert (tmp_path / "before.csv").exists()


@pytest.mark.parametrize(("code", "goes_on"), [(0, True), (1, True), (2, False)])
def test_a_rename_that_waits_for_a_person_does_not_hold_the_others_back(code, goes_on, tmp_path):
    assert (run_step(tmp_path, "Rename what", {"names apply": code}).returncode == 0) is goes_on


@pytest.mark.parametrize(
    ("rules", "names", "goes_on", "told"),
    [
        (0, 0, True, "0"),
        (1, 0, True, "1"),
        (0, 1, True, "1"),
        (2, 0, False, "2"),
        (2, 1, False, "3"),
        (1, 2, False, "3"),
    ],
)
def test_what_cannot_be_checked_is_not_proposed_and_errors_are_told(rules, names, goes_on, told, tmp_path):
    done = run_step(tmp_path, "Check what", {"check": rules, "names check": names})
    assert (done.returncode == 0) is goes_on
    assert (tmp_path / "github_env").read_text("utf-8") == f"CHECKED={told}\n"


@pytest.mark.parametrize(
    ("refreshed", "check", "green"), [("0", 0, True), ("1", 0, False), ("0", 1, False), ("1", 1, False)]
)
def test_what_waits_for_a_person_makes_the_run_red(refreshed, check, green, tmp_path):
    done = run_step(tmp_path, "Tell what waits", {"names check": check}, REFRESHED=refreshed)
    assert (done.returncode == 0) is green
    assert ("::error" in done.stdout) is (refreshed != "0")


# ----- Hooks -----


def test_hooks_run_what_they_say_on_the_files_that_matter():
    by_id = {hook["id"]: hook for hook in HOOKS}
    assert set(by_id) == {"sporeproof-check", "sporeproof-names"}
    assert all(hook["language"] == "python" for hook in HOOKS)
    entry, record, page = "dataset/taxa/fictum-commune.yaml", "dataset/names.csv", "dataset/README.md"
    for hook in HOOKS:
        assert re.search(hook["files"], entry)
        assert re.search(hook["files"], record)
        assert not re.search(hook["files"], page)
        assert not re.search(hook["files"], f"other/{entry}")
    assert by_id["sporeproof-check"].get("pass_filenames", True)
    assert by_id["sporeproof-check"]["require_serial"]
    assert not by_id["sporeproof-names"]["pass_filenames"]


def test_no_hook_needs_the_network():
    assert not [hook for hook in HOOKS if "refresh" in hook["entry"]]
