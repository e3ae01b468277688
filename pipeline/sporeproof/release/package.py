"""The files of a data package (Frictionless Data Package v2) as bytes by path. There is no clock in them."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import polars as pl

from sporeproof.form.load import Form
from sporeproof.release.contract import published
from sporeproof.release.formats.to_csv import to_csv
from sporeproof.release.formats.to_parquet import to_parquet
from sporeproof.release.readme import readme
from sporeproof.tables.faults import Frames

Files = dict[str, bytes]

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
DESCRIPTOR = "datapackage.json"
SUMS = "SHA256SUMS"
NEWS = "news.md"
LICENCE = "LICENSE"
# Programs that know the format `parquet` try to read such a resource as a table and stumble over it without
# further libraries; this word lets them take it as a plain file.
PLAIN_PARQUET = {"format": "parquet-file", "mediatype": "application/vnd.apache.parquet"}


def package(
    frames: Frames, form: Form, words: dict[str, Any], version: str, news: str, licence: str | None = None
) -> Files:
    """Return all files of the package; ``words`` is what ``dataset/package.yaml`` says."""
    files: Files = {}
    resources: list[dict[str, Any]] = []
    for table, frame in frames.items():
        files[f"csv/{table}.csv"] = to_csv(frame, form.tables[table])
        files[f"parquet/{table}.parquet"] = to_parquet(frame, form.tables[table])
    for table in frames:
        path = f"csv/{table}.csv"
        resources.append(_table(table, path, form.tables[table]) | _measured(files[path]))
    for table in frames:
        path = f"parquet/{table}.parquet"
        resources.append({"name": f"{table}-parquet", "path": path} | PLAIN_PARQUET | _measured(files[path]))
    files[DESCRIPTOR] = _json(_descriptor(words, version, resources))
    files[NEWS] = news.encode()
    files["README.md"] = readme(_heights(frames), form, words, version).encode()
    if licence is not None:
        files[LICENCE] = licence.encode()
    files[SUMS] = _sums(files)
    return dict(sorted(files.items()))


def _heights(frames: dict[str, pl.DataFrame]) -> dict[str, int]:
    return {table: frame.height for table, frame in frames.items()}


def _descriptor(words: dict[str, Any], version: str, resources: list[dict[str, Any]]) -> dict[str, Any]:
    homepage = {"homepage": words["homepage"]} if words.get("homepage") else {}
    return {
        "$schema": PROFILE,
        "name": words["name"],
        "title": words["title"],
        "description": words["description"],
        "version": version,
        "licenses": [words["licence"]],
        "contributors": words["contributors"],
        "resources": resources,
        **homepage,
    }


def _table(table: str, path: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {
        "name": table,
        "type": "table",
        "path": path,
        "title": schema["title"],
        "description": schema["description"],
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": published(schema),
    }


def _measured(data: bytes) -> dict[str, Any]:
    return {"bytes": len(data), "hash": f"sha256:{hashlib.sha256(data).hexdigest()}"}


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=2, sort_keys=True) + "\n").encode()


def _sums(files: Files) -> bytes:
    """Return the checksums in the form that ``sha256sum --check`` reads."""
    return "".join(f"{hashlib.sha256(files[path]).hexdigest()}  {path}\n" for path in sorted(files)).encode()
