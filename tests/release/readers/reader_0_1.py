"""A program as a consumer wrote it against version 0.1.0 of the data. It is kept as it is: it must run on what follows.

It reads the CSV tables that ``datapackage.json`` names, and one table as Parquet, and prints what it knows as JSON.
"""

import csv
import json
import sys
from pathlib import Path

import polars as pl


def tables(folder):
    package = json.loads((folder / "datapackage.json").read_text("utf-8"))
    found = {}
    for resource in package["resources"]:
        if resource.get("type") == "table":
            fields = [each["name"] for each in resource["schema"]["fields"]]
            with (folder / resource["path"]).open(encoding="utf-8", newline="") as file:
                rows = csv.reader(file)
                assert next(rows) == fields
                found[resource["name"]] = [dict(zip(fields, row, strict=True)) for row in rows]
    return package["version"], found


def main(folder):
    version, found = tables(folder)
    major = version.split(".")[0]
    assert major == "0", "written for version 0 of the data"

    def of(table, id):
        return [row for row in found[table] if row["taxon_id"] == id]

    told = {}
    for taxon in found["taxa"]:
        id = taxon["taxon_id"]
        told[taxon["name"]] = {
            "id": id,
            "verdict": taxon["verdict"],
            "needs": sorted(row["id"] for row in of("needs", id)),
            "cautions": sorted(row["id"] for row in of("cautions", id)),
            "confusions": sorted(row["with_taxon_id"] for row in of("confusions", id) if row["listed"] != "dismissed"),
            "unexcluded": sorted({row["with_taxon_id"] for row in of("unexcluded", id)}),
            "review": taxon["review_state"],
            "months": sorted(int(row["month"]) for row in of("seasons", id)),
            "accepts": sorted((row["character_id"], row["state"]) for row in of("accept_only", id)),
            "once": sorted(row["name"] for row in of("names", id) if row["role"] != "current"),
            "law": sorted(row["territory"] for row in of("protections", id)),
        }
    rows = pl.read_parquet(folder / "parquet" / "measurements.parquet").rows(named=True)
    told["sizes"] = [[row["taxon_id"], row["character_id"], row["low"], row["high"], row["unit"]] for row in rows]
    told["ended"] = {row["taxon_id"]: row["replaced_by"] or row["consider"] for row in found["retired"]}
    sys.stdout.write(json.dumps(told, sort_keys=True))


main(Path(sys.argv[1]))
