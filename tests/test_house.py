"""The house keeps its own order: layers, freshness, no species name in code, every X has its Y."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
import yaml

from sporeproof.checks.registry import all_rules
from sporeproof.form.json_schema import entry_schema
from tests.conftest import ROOT

SOURCE = ROOT / "pipeline" / "sporeproof"
MODULES = sorted(SOURCE.rglob("*.py"))
HEAVY = {"polars", "pandera", "duckdb", "scipy", "frictionless", "pygbif", "requests", "rapidfuzz", "pandas", "numpy",
         "rich", "jsonschema", "xlsxwriter", "sqlite3"}  # fmt: skip


def test_layers_go_one_way():
    done = subprocess.run([Path(sys.executable).with_name("lint-imports")], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout


def test_one_entry_is_checked_without_heavy_libraries():
    program = (
        "import sys, pathlib; from sporeproof import run; "
        "run.check(pathlib.Path('.'), [pathlib.Path('dataset/taxa/kuehneromyces-mutabilis.yaml')]); "
        "import sporeproof.cli; print(*sorted(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert HEAVY.isdisjoint(done.stdout.split())


def test_generated_schema_is_fresh(form):
    assert (ROOT / "schema" / "entry.schema.json").read_text("utf-8") == entry_schema(form)


def test_generated_schema_accepts_the_dataset_and_refuses_a_slip(dataset):
    schema = json.loads((ROOT / "schema" / "entry.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for entry in dataset.entries:
        as_editors_see_it = yaml.load(entry.text, Loader=yaml.BaseLoader)
        raw = json.loads(json.dumps(entry.value, default=str))
        assert as_editors_see_it.keys() == raw.keys()
        assert not list(validator.iter_errors(raw)), entry.file
        raw["characters"]["ring"] = "bejewelled"
        assert list(validator.iter_errors(raw))


def test_no_species_name_stands_in_code(checklist):
    """Only the *Wrong* and *Right* of a rule's page may name one."""
    names = [word for word in checklist.words() if " " in word]
    for path in MODULES:
        code = _without_docstrings(path.read_text("utf-8"))
        assert not [name for name in names if name in code], path


def test_no_state_verdict_or_caution_stands_in_code(form):
    """Facts about the schema live in ``schema/``; a word that is also plain English is told by its hyphen."""
    words = {id for character in form.characters.values() for id in character.states}
    words |= {id for name in ("verdicts", "needs", "cautions", "syndromes") for id in form.vocabularies[name]}
    telling = {word for word in words if "-" in word}
    for path in MODULES:
        found = {each for each in _strings(path) if each in telling}
        assert not found, path


def _strings(path: Path) -> set[str]:
    tree = ast.parse(_without_docstrings(path.read_text("utf-8")))
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def _without_docstrings(source: str) -> str:
    tree = ast.parse(source)
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if (
            isinstance(body, list)
            and body
            and isinstance(body[0], ast.Expr)
            and isinstance(body[0].value, ast.Constant)
        ):
            body[0].value.value = ""
    return ast.unparse(tree)


def test_every_trouble_has_its_rule():
    """A kind of trouble that no rule words would be silence."""
    kinds = set()
    for path in [*SOURCE.glob("text/*.py"), *SOURCE.glob("records/*.py")]:
        source = path.read_text("utf-8")
        kinds |= set(re.findall(r'(?:trouble|_stop|Trouble)\(\s*"([a-z0-9-]+)"', source))
    worded = "".join(path.read_text("utf-8") for path in SOURCE.glob("checks/*/*.py"))
    assert len(kinds) > 20
    assert {kind for kind in kinds if f'"{kind}"' not in worded} == set()


def test_there_are_at_least_forty_rules_and_each_has_its_cases():
    assert len(all_rules()) >= 40
    for rule in all_rules().values():
        slug = rule.code.partition(".")[2].replace("-", "_")
        assert (ROOT / "tests" / "checks" / rule.family / f"{slug}.yaml").is_file(), rule.code


def test_no_case_file_is_left_without_its_rule():
    files = {f"{path.parent.name}.{path.stem.replace('_', '-')}" for path in (ROOT / "tests/checks").glob("*/*.yaml")}
    assert files == set(all_rules())


def test_every_character_is_used(form, dataset):
    used = {id for entry in dataset.entries for id in entry.characters}
    assert set(form.characters) - used == set()


def test_verdicts_are_edible_dangerous_or_named_as_neither(form):
    neither = {id for id in form.vocabularies["verdicts"] if not form.is_edible(id) and not form.is_dangerous(id)}
    assert neither == {"unknown", "inedible"}


def test_the_catalogue_is_rich_enough(form):
    assert len(form.characters) >= 45


def test_ci_runs_the_commands_of_the_readme():
    readme = (ROOT / "README.md").read_text("utf-8")
    commands = re.findall(r"^    (python3 -m venv .*)$", readme, re.MULTILINE)
    assert len(commands) == 2
    assert commands[1] in (ROOT / ".ci" / "run").read_text("utf-8")


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_files_stay_small(path):
    assert len(path.read_text("utf-8").splitlines()) <= 400
