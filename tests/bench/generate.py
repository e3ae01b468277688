"""Writes a dataset of any size from the real entries: all names invented, links kept inside each batch."""

from __future__ import annotations

import shutil
import string
from pathlib import Path
from typing import Any

import yaml

from sporeproof.names.answers import Answer, written
from sporeproof.names.outcome import CURRENT
from sporeproof.records.read import entry_files
from sporeproof.tables.resolve import stem_of

HOW = "registry-taxonomy"


def epithet(number: int) -> str:
    """Return a word of lower-case letters for a number, a different one for each."""
    letters = ""
    for _ in range(5):
        number, rest = divmod(number, 26)
        letters = string.ascii_lowercase[rest] + letters
    return f"fictum{letters}"


def generate(root: Path, target: Path, count: int) -> None:
    """Write ``count`` entries below ``target``, in the form of the real ones, each name answered."""
    texts = [path.read_text("utf-8") for path in entry_files(root)]
    models = [yaml.load(text, Loader=yaml.CSafeLoader) for text in texts]
    taxa = target / "dataset" / "taxa"
    taxa.mkdir(parents=True)
    shutil.copytree(root / "schema", target / "schema")
    for name in ("sources.yaml", "package.yaml"):
        shutil.copy(root / "dataset" / name, target / "dataset" / name)
    answers = []
    for number in range(count):
        batch = number // len(models) * len(models)
        there = models[: count - batch]
        renamed = {model["name"]: f"Fictum {epithet(batch + place)}" for place, model in enumerate(there)}
        entry = _renamed(models[number % len(models)], renamed, number)
        text = yaml.dump(entry, Dumper=yaml.CSafeDumper, sort_keys=False, default_flow_style=None, width=100)
        (taxa / f"{stem_of(entry['name'])}.yaml").write_text(text, "utf-8")
        answers.append(
            Answer(entry["name"], outcome=CURRENT, accepted_name=entry["name"], obtained=HOW, usage_key=entry["id"])
        )
    (target / "dataset" / "names.csv").write_bytes(written(answers))


def _renamed(model: dict[str, Any], renamed: dict[str, str], number: int) -> dict[str, Any]:
    entry = {
        key: value for key, value in model.items() if key not in {"former_names", "vernacular", "authorship", "excused"}
    }
    entry |= {"id": f"F{number + 1:05d}", "name": renamed[model["name"]]}
    for block in ("confusions", "not_confused_with"):
        entry[block] = [
            {**each, "with": renamed[each["with"]]} for each in model.get(block, []) if each["with"] in renamed
        ]
    return entry
