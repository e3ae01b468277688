"""What the documents say is true today: console blocks are run, commands listed, the example entry clean."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from sporeproof import run
from sporeproof.cli import main
from sporeproof.findings import Level
from sporeproof.records.read import TAXA
from sporeproof.tables.resolve import stem_of
from tests.conftest import ROOT

README = (ROOT / "README.md").read_text("utf-8")
GUIDE = (ROOT / "dataset" / "README.md").read_text("utf-8")


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A copy of what the README's commands need."""
    for part in ("dataset", "schema", "tests/fernhollow"):
        shutil.copytree(ROOT / part, tmp_path / part)
    return tmp_path


def commands() -> list[tuple[str, str]]:
    """Each command of a console block, with the output it shows."""
    blocks = re.findall(r"^```console\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    return [pair for block in blocks for pair in re.findall(r"^\$ (.*)\n((?:(?!\$ ).*\n)*)", block, re.MULTILINE)]


@pytest.fixture(scope="module")
def released(tmp_path_factory) -> Path:
    """What the README's `release` writes, for the commands on it."""
    out = tmp_path_factory.mktemp("released")
    run.release(ROOT, None, out)
    return out


@pytest.mark.parametrize(("command", "shown"), commands(), ids=[command for command, _ in commands()])
def test_console_blocks_show_what_is_printed(command, shown, checkout, monkeypatch, request):
    monkeypatch.chdir(checkout)
    program, *words = shlex.split(command)
    assert program == "sporeproof"
    if any(word.startswith("dist/sporeproof-data") for word in words):
        (checkout / "dist").symlink_to(request.getfixturevalue("released"))
    printed = CliRunner().invoke(main, words).output
    pattern = ".*".join(re.escape(part) for part in re.split(r"^\.\.\.$", shown, flags=re.MULTILINE))
    assert re.fullmatch(pattern, printed, re.DOTALL), printed


def test_there_are_console_blocks():
    assert len(commands()) >= 6


def test_every_command_is_listed_and_has_help():
    listed = set(re.findall(r"^\| `sporeproof ([a-z ]+?)(?: [\[A-Z].*)?` \|", README, re.MULTILINE))
    known = {name for name, command in main.commands.items() if not hasattr(command, "commands")}
    known |= {f"{group} {name}" for group, each in main.commands.items() for name in getattr(each, "commands", {})}
    assert listed == known
    for command in known:
        result = CliRunner().invoke(main, [*command.split(), "--help"])
        assert result.exit_code == 0
        assert "Usage" in result.output


def test_the_guide_shows_a_real_entry_without_an_error(tmp_path):
    (example,) = re.findall(r"^```yaml\n(.*?)^```$", GUIDE, re.MULTILINE | re.DOTALL)
    name = re.search(r"^name: (.*)$", example, re.MULTILINE)[1]
    file = f"{TAXA}/{stem_of(name)}.yaml"
    shutil.copytree(ROOT / "dataset", tmp_path / "dataset")
    (tmp_path / file).write_text(example, "utf-8")
    found = [each for each in run.check(tmp_path).findings if each.at.file == file]
    assert [each for each in found if each.level is Level.ERROR] == []
    assert (tmp_path / file).read_bytes() == (ROOT / file).read_bytes()


def test_every_key_of_an_entry_is_said_in_the_guide(form):
    assert {key for key in form.entry.keys if f"`{key}" not in GUIDE and f"\n    {key}:" not in GUIDE} == set()


@pytest.mark.parametrize("file", ["README.md", "dataset/README.md"])
def test_people_are_told_what_this_is_not(file):
    text = " ".join((ROOT / file).read_text("utf-8").split())
    assert "competent person" in text
    assert "never replaces it" in text
    assert re.search(r"[Ll]ocal law", text)


def test_every_dependency_has_its_line():
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    project = (ROOT / "pyproject.toml").read_text("utf-8")
    needed = set(re.findall(r'"([a-z-]+)(?:\[[a-z]+\])?>=', project)) | {"hatchling", "nox"}
    assert len(needed) > 10
    table = guide.split("## Dependencies")[1].split("\n## ")[0]
    assert {name for name in needed if not re.search(rf"^\|[^|]*\b{name}\b", table, re.MULTILINE)} == set()


def test_the_demo_runs_and_mends_everything(tmp_path, monkeypatch):
    from tests.fernhollow import demo

    said: list[str] = []
    monkeypatch.setattr(demo, "say", lambda text="": said.append(text))
    target = tmp_path / "fernhollow"
    demo.lay(target)
    demo.contribution(target)
    demo.real(tmp_path / "dist")
    text = "\n".join(said)
    assert "Fictum vetus renamed to Novellum vetus" in text
    assert "Version 0.1.0 written" in text
