"""A million invented rows with seeded faults, judged by our table checks and by frictionless from the same files."""

from __future__ import annotations

import itertools
import json
import random
from pathlib import Path

import polars as pl

from sporeproof.form.load import Form
from sporeproof.release.contract import published
from sporeproof.tables.build import Facts, build
from sporeproof.tables.faults import faults, frames
from sporeproof.tables.resolve import Checklist

TABLE = "characters"
Verdicts = set[tuple[int, str]]
KINDS = {"constraint-error": "enum", "foreign-key": "foreign-key", "primary-key": "primary-key"}


def write(form: Form, count: int, folder: Path) -> None:
    """Write the tables that a row of ``characters`` leads to, that table itself, and their descriptor."""
    tables = build(Facts(Checklist([]), form, {}, []), ["catalogue", "states"])
    pairs = [(character, state) for character, state, *_ in tables["states"]]
    stages = list(form.vocabularies["stages"])
    taxa = [f"F{number:05d}" for number in range(1, count // (len(pairs) * len(stages)) + 2)]
    drawn = ((taxon, *pair, stage) for taxon in taxa for pair in pairs for stage in stages)
    rows = [(taxon, character, stage, state, None) for taxon, character, state, stage in itertools.islice(drawn, count)]
    made = frames(tables, form)
    made["taxa"] = pl.DataFrame({"taxon_id": taxa})
    made[TABLE] = spoilt(
        pl.DataFrame(rows, schema=[each["name"] for each in form.tables[TABLE]["fields"]], orient="row")
    )
    schemas = {name: published(form.tables[name]) for name in made}
    schemas["taxa"] = {"fields": schemas["taxa"]["fields"][:1], "primaryKey": ["taxon_id"]}
    resources = []
    for name, frame in made.items():
        frame.write_csv(folder / f"{name}.csv")
        resources.append({"name": name, "path": f"{name}.csv", "type": "table", "schema": schemas[name]})
    (folder / "datapackage.json").write_text(json.dumps({"name": "bench", "resources": resources}), "utf-8")


def spoilt(frame: pl.DataFrame) -> pl.DataFrame:
    """Put 25 faults into rows drawn by a seed: words of no vocabulary, links to nobody, keys given twice."""
    at = sorted(random.Random(25).sample(range(1, frame.height), 25))
    columns = {name: frame[name].to_list() for name in frame.columns}
    for row in at[:10]:
        columns["stage"][row] = "ripe"
    for row in at[10:18]:
        columns["taxon_id"][row] = "F99999"
    for row in at[18:]:
        for cells in columns.values():
            cells[row] = cells[row - 1]
    return pl.DataFrame(columns, schema=frame.schema)


def our_verdicts(folder: Path, form: Form) -> Verdicts:
    """Read the files and judge them by our checks; only the large table holds faults."""
    given = {path.stem: pl.read_csv(path, infer_schema=False) for path in sorted(folder.glob("*.csv"))}
    needed = ("catalogue", "states", TABLE)
    judged = {name: given[name] for name in needed}
    judged["taxa"] = given["taxa"].with_columns(
        pl.lit(None, pl.String).alias(each["name"]) for each in form.tables["taxa"]["fields"][1:]
    )
    return {(each.row, each.kind) for each in faults(judged, form) if each.table == TABLE}


def their_verdicts(folder: Path) -> Verdicts:
    """Read the files and judge them by frictionless."""
    from frictionless import Package

    report = Package(str(folder / "datapackage.json")).validate()
    return {
        (each.row_number - 1, KINDS[each.type]) for task in report.tasks if task.name == TABLE for each in task.errors
    }
