"""The database, read by programs that are not ours.

Sources: SQLite's own checks (``PRAGMA integrity_check``, ``PRAGMA foreign_key_check``; sqlite.org/pragma.html, from
memory) through Python's sqlite3 and its command line; pandas (PyPI, BSD) and polars (PyPI, MIT), which read a query
into a data frame.
"""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
from contextlib import closing

import pandas as pd
import polars as pl
import pytest

from sporeproof.release.formats.to_sqlite import path_of, to_sqlite


@pytest.fixture(scope="module")
def path(real, tmp_path_factory):
    path = tmp_path_factory.mktemp("sqlite") / "checklist.sqlite"
    path.write_bytes(to_sqlite(real)[path_of(real)])
    return path


@pytest.fixture(scope="module")
def base(path):
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as base:
        yield base


def test_sqlite_finds_it_sound(base):
    assert base.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert base.execute("PRAGMA foreign_key_check").fetchall() == []


@pytest.mark.skipif(not shutil.which("sqlite3"), reason="this system has no sqlite3 on the command line")
def test_the_command_line_reads_it(path, real):
    asked = "PRAGMA integrity_check; SELECT count(*), sum(is_edible) FROM taxa_whole; SELECT count(*) FROM distinctions"
    done = subprocess.run(["sqlite3", "-readonly", path, asked], capture_output=True, text=True, check=True)
    edible = sum(real.form.is_edible(row["verdict"]) for row in real.taxa.values())
    assert done.stdout.split() == ["ok", f"{len(real.taxa)}|{edible}", str(len(real.rows["distinctions"]))]


def test_sqlite_knows_every_foreign_key_of_the_schemas(base, form):
    for table, schema in form.tables.items():
        links = {(each[3], each[2], each[4]) for each in base.execute(f'PRAGMA foreign_key_list("{table}")')}
        wanted = {
            (here, link["reference"]["resource"], there)
            for link in schema.get("foreignKeys", [])
            for here, there in zip(link["fields"], link["reference"]["fields"], strict=True)
        }
        assert links == wanted, table


def test_each_foreign_key_has_an_index_that_sqlite_uses(base):
    plan = base.execute("EXPLAIN QUERY PLAN SELECT * FROM confusions WHERE with_taxon_id = 'F0002'").fetchall()
    assert "USING INDEX confusions_with_taxon_id" in plan[0][3]


def test_polars_and_pandas_read_the_same_rows(base, real):
    for table in ("taxa", "confusions", "measurements", "protections"):
        frame = pl.read_database(f'SELECT * FROM "{table}"', base, infer_schema_length=None)
        assert frame.height == len(real.rows[table])
        assert frame.columns == real.rows[table].names
    frame = pd.read_sql_query("SELECT taxon_id, verdict FROM taxa ORDER BY taxon_id", base)
    assert dict(zip(frame["taxon_id"], frame["verdict"], strict=True)) == {
        id: row["verdict"] for id, row in real.taxa.items()
    }
