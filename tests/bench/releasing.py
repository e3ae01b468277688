"""A release of many taxa: the tables of the real dataset, repeated under other ids and names, each batch by itself.

All names of them are invented. ``python -m tests.bench.releasing 10000`` publishes so many taxa in a process of its own
and prints seconds, peak memory and sizes as JSON.
"""

from __future__ import annotations

import json
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sporeproof import run
from sporeproof.confusion.proved import proofs_of
from sporeproof.confusion.suspected import Suspicion
from sporeproof.form.load import Form, load_form
from sporeproof.release.publish import publish
from sporeproof.tables.build import Row, Tables

ROOT = Path(__file__).parents[2]
# What must differ from batch to batch beside the ids, since it is a key.
KEYS = {"names": "name", "taxa": "name", "protections": "instrument"}
APART = 1_000


def real(form: Form) -> tuple[Tables, dict[str, Any]]:
    """Return the tables of the real dataset, and what is said of it as a whole."""
    dataset = run.read_whole(ROOT, form)
    checklist = run.checklist_of(dataset)
    suspicion = Suspicion(checklist, form, dataset.threshold)
    proofs = proofs_of(dataset.entries, checklist, form)
    tables = run.build_filled(dataset, run.recorded(ROOT)[0], proofs, suspicion, form)
    return tables, dataset.companions["package"].value


def repeated(tables: Tables, form: Form, taxa: int) -> Tables:
    """Return tables of at least so many taxa."""
    batches = -(-taxa // len(tables["taxa"]))
    return {name: list(_rows(name, rows, form, batches)) for name, rows in tables.items()}


def _rows(table: str, rows: list[Row], form: Form, batches: int) -> Iterator[Row]:
    columns = [each["name"] for each in form.tables[table]["fields"]]
    ids = {place for place, name in enumerate(columns) if name in {"taxon_id", "with_taxon_id"}}
    named = columns.index(KEYS[table]) if table in KEYS else -1
    for batch in range(batches if ids else 1):
        for row in rows:
            yield tuple(
                _id(cell, batch) if place in ids else f"{cell} {batch}" if place == named else cell
                for place, cell in enumerate(row)
            )


def _id(id: str | None, batch: int) -> str | None:
    return id and f"F{int(id[1:]) + APART * batch:06d}"


def main(taxa: int) -> None:
    form = load_form(ROOT / "schema")
    tables, words = real(form)
    tables = repeated(tables, form, taxa)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        done = publish(tables, form, words, None, None, Path(folder))
        took = time.perf_counter() - start
        size = sum(path.stat().st_size for path in done.folder.rglob("*") if path.is_file())
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    told = {"taxa": done.counts["taxa"], "rows": sum(done.counts.values()), "seconds": took, "bytes": size}
    sys.stdout.write(json.dumps(told | {"peak_mib": peak / 1024, "before_mib": before / 1024}))


if __name__ == "__main__":
    main(int(sys.argv[1]))
