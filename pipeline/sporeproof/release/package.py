"""The files of a release as bytes by path: every format, in a Data Package (v2). There is no clock in it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sporeproof.release.content import Content, Files
from sporeproof.release.contract import published
from sporeproof.release.formats import to_csv, to_parquet
from sporeproof.release.formats.registry import all_formats
from sporeproof.release.manifest import SUMS, digest, sums_of
from sporeproof.release.readme import readme

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
DESCRIPTOR = "datapackage.json"
PROVENANCE = "provenance.json"
NEWS = "news.md"
NEWS_JSON = "news.json"
README = "README.md"
LICENCE = "LICENSE"
# Programs that know the format `parquet` try to read such a resource as a table and stumble over it without
# further libraries; this word lets them take it as a plain file.
PLAIN_PARQUET = {"format": "parquet-file", "mediatype": "application/vnd.apache.parquet"}


def package(content: Content, told: Files, licence: str | None = None) -> Iterator[tuple[str, bytes]]:
    """Yield path and bytes of each file of a release, a format at a time, so that no two need be held in memory.

    ``told`` are the files that tell of the changes, such as the news. The checksums come last.
    """
    sizes: dict[str, int] = {}
    sums: dict[str, str] = {}
    for path, data in _but_described(content, told, licence):
        sizes[path], sums[path] = len(data), digest(data)
        yield path, data
    described = as_json(descriptor(content, sizes, sums))
    yield DESCRIPTOR, described
    yield SUMS, sums_of({**sums, DESCRIPTOR: digest(described)})


def _but_described(content: Content, told: Files, licence: str | None) -> Iterator[tuple[str, bytes]]:
    yield from told.items()
    for each in all_formats().values():
        yield from each.write(content).items()
    yield PROVENANCE, as_json(content.provenance)
    yield README, readme(content).encode()
    if licence is not None:
        yield LICENCE, licence.encode()


def descriptor(content: Content, sizes: dict[str, int], sums: dict[str, str]) -> dict[str, Any]:
    """Return the Data Package descriptor: each CSV file as a table with its schema, each Parquet file as a file.

    ``sizes`` and ``sums`` are the bytes and the SHA-256 of each file by path.
    """
    words, schemas = content.words, content.form.tables
    homepage = {"homepage": words["homepage"]} if words.get("homepage") else {}
    tables = [_table(table, to_csv.path_of(table), schemas[table]) for table in content.frames]
    beside = [
        {"name": f"{table}-parquet", "path": to_parquet.path_of(table), **PLAIN_PARQUET} for table in content.frames
    ]
    return {
        "$schema": PROFILE,
        "name": words["name"],
        "title": words["title"],
        "description": words["description"],
        "version": content.version,
        "licenses": [words["licence"]],
        "contributors": words["contributors"],
        "resources": [
            each | {"bytes": sizes[each["path"]], "hash": f"sha256:{sums[each['path']]}"} for each in (*tables, *beside)
        ],
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


def as_json(value: Any) -> bytes:
    """Return a value as JSON for people to read: a key a line, in the order of the keys."""
    return (json.dumps(value, ensure_ascii=False, indent=2, sort_keys=True) + "\n").encode()
