"""The tables as Parquet and CSV, read by programs that are not ours.

DuckDB (PyPI, MIT), pyarrow (PyPI, Apache-2.0), polars (PyPI, MIT): the same rows from either form, keys that are keys,
and links that lead somewhere, asked in SQL.
"""

from __future__ import annotations

import duckdb
import polars as pl
import pyarrow.parquet as pq
import pytest

from sporeproof.release.formats.to_csv import to_csv
from sporeproof.release.formats.to_parquet import to_parquet


@pytest.fixture(scope="module")
def folder(real, tmp_path_factory):
    folder = tmp_path_factory.mktemp("tables")
    for path, data in {**to_csv(real), **to_parquet(real)}.items():
        place = folder / path
        place.parent.mkdir(exist_ok=True)
        place.write_bytes(data)
    return folder


@pytest.fixture(scope="module")
def base(folder, form):
    with duckdb.connect() as base:
        for table in form.tables:
            base.execute(f"CREATE VIEW \"{table}\" AS SELECT * FROM read_parquet('{folder}/parquet/{table}.parquet')")
        yield base


def test_duckdb_reads_the_same_rows_from_both_forms(base, folder, form):
    for table, schema in form.tables.items():
        columns = ", ".join(
            f'CAST("{each["name"]}" AS VARCHAR)' for each in schema["fields"] if each["type"] == "string"
        )
        csv = f"read_csv('{folder}/csv/{table}.csv', header = true, all_varchar = true, nullstr = '')"
        for one, other in ((f'"{table}"', csv), (csv, f'"{table}"')):
            rest = base.execute(f"SELECT {columns} FROM {one} EXCEPT ALL SELECT {columns} FROM {other}").fetchall()
            assert rest == [], table


def test_duckdb_finds_every_key_unique_and_every_link_leading_somewhere(base, form):
    for table, schema in form.tables.items():
        keys = ", ".join(f'"{each}"' for each in schema["primaryKey"])
        twice = base.execute(f'SELECT {keys} FROM "{table}" GROUP BY {keys} HAVING count(*) > 1').fetchall()
        assert twice == [], table
        for link in schema.get("foreignKeys", []):
            here, there = link["fields"], link["reference"]["fields"]
            on = " AND ".join(f'here."{a}" = there."{b}"' for a, b in zip(here, there, strict=True))
            lost = base.execute(
                f'SELECT * FROM "{table}" AS here ANTI JOIN "{link["reference"]["resource"]}" AS there ON {on} '
                f'WHERE here."{here[0]}" IS NOT NULL'
            ).fetchall()
            assert lost == [], (table, link)


def test_pyarrow_and_polars_agree_on_types_and_rows(folder, form):
    words = {"string": "string", "integer": "int64", "number": "double", "boolean": "bool", "date": "date32[day]"}
    for table, schema in form.tables.items():
        found = pq.read_table(folder / f"parquet/{table}.parquet")
        types = [str(each.type).removeprefix("large_").removesuffix("_view") for each in found.schema]
        assert types == [words[each["type"]] for each in schema["fields"]], table
        frame = pl.read_parquet(folder / f"parquet/{table}.parquet")
        assert frame.equals(pl.from_arrow(found), null_equal=True), table
