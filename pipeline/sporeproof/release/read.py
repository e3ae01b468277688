"""Reads a package back into frames.

It may come from anybody, so its descriptor is inspected before any file that it names is read as a table, and nothing
outside the package ever is.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import Any

import polars as pl

from sporeproof.findings import plain
from sporeproof.form.frames import DTYPES
from sporeproof.release.content import Files
from sporeproof.release.contract import Schemas
from sporeproof.release.manifest import digests, untrue
from sporeproof.release.opening import is_plain_path, open_release
from sporeproof.release.package import DESCRIPTOR
from sporeproof.release.refusals import ReleaseError
from sporeproof.release.version import is_version
from sporeproof.tables.faults import Frames, typed

HASH = "sha256:"


@dataclass(frozen=True)
class Package:
    """A package that was read: its version, its tables, and every file of it."""

    name: str
    version: str
    frames: Frames
    schemas: Schemas
    files: Files = field(repr=False)
    descriptor: dict[str, Any] = field(repr=False, default_factory=dict)


def read_package(path: Path) -> Package:
    """Return the package in a folder or an archive; raises :class:`ReleaseError` where it cannot be trusted."""
    files = open_release(path)
    sums = digests(files)
    try:
        found = described(files)
        for wrong in chain(untrue(files, sums), undescribed(found, files, sums)):
            raise ReleaseError(f"{wrong} Take the package anew.")
        return package_of(files, found)
    except ReleaseError as error:
        raise ReleaseError(f"{path}: {error}") from error


def described(files: Files) -> dict[str, Any]:
    """Return the descriptor of a package, every resource of it safe to open; raises :class:`ReleaseError`."""
    try:
        found = json.loads(files.get(DESCRIPTOR, b""))
    except (ValueError, RecursionError) as error:
        raise ReleaseError(f"{DESCRIPTOR} cannot be read as JSON: {plain(str(error))[:200]}. Take it anew.") from error
    sound = isinstance(found, dict) and isinstance(found.get("resources"), list)
    if not sound or not isinstance(found.get("name"), str) or not is_version(str(found.get("version"))):
        raise ReleaseError(f"{DESCRIPTOR} gives no name, version or resources of a package of this kind.")
    for each in found["resources"]:
        _meet_resource(each)
    for what in ("name", "path"):
        name, count = (
            Counter(each[what] for each in found["resources"]).most_common(1)[0] if found["resources"] else ("", 0)
        )
        if count > 1:
            raise ReleaseError(f"{DESCRIPTOR}: {count} resources have the {what} {plain(name)[:100]}.")
    return dict(found)


def _meet_resource(given: Any) -> None:
    """Raise unless a resource is safe to open: one plain file of the package, its schema written out."""
    given = given if isinstance(given, dict) else {}
    path = given.get("path")
    if not isinstance(path, str) or not path or not path.isprintable():
        raise ReleaseError(f"{DESCRIPTOR}: a resource has no path of its own.")
    if not is_plain_path(path):
        raise ReleaseError(f"{DESCRIPTOR}: the path {plain(path)[:200]} leads out of the package.")
    name = f"{DESCRIPTOR}: the resource {path}"
    if not isinstance(given.get("name"), str) or "data" in given or isinstance(given.get("dialect"), str):
        raise ReleaseError(f"{name} is not one named file with plain rows.")
    if not _is_size(given.get("bytes")) or not isinstance(given.get("hash"), str):
        raise ReleaseError(f"{name} has no size or checksum, so that it cannot be trusted.")
    if "schema" in given and not _is_schema(given["schema"]):
        raise ReleaseError(f"{name} has no table schema that is written out and known here.")


def _is_size(size: Any) -> bool:
    return isinstance(size, int) and not isinstance(size, bool) and size >= 0


def _is_schema(schema: Any) -> bool:
    """Tell whether a schema is written out, with fields of known types and a key."""
    fields = schema.get("fields") if isinstance(schema, dict) else None
    if not isinstance(fields, list) or not fields or not isinstance(schema.get("primaryKey"), list):
        return False
    return all(
        isinstance(each, dict) and isinstance(each.get("name"), str) and str(each.get("type")) in DTYPES
        for each in fields
    )


def undescribed(descriptor: dict[str, Any], files: Files, sums: Mapping[str, str]) -> Iterator[str]:
    """Yield a sentence for each resource whose file is missing, or is another one than the descriptor says."""
    for each in descriptor["resources"]:
        path = each["path"]
        if path not in files:
            yield f"{path} is missing, and {DESCRIPTOR} describes it."
        elif len(files[path]) != each["bytes"] or HASH + sums[path] != each["hash"].lower():
            yield f"{path} is not the file that {DESCRIPTOR} describes."


def package_of(files: Files, descriptor: dict[str, Any]) -> Package:
    """Return the package that some files are, by a descriptor that was found safe; raises :class:`ReleaseError`."""
    frames: Frames = {}
    schemas: Schemas = {}
    for each in descriptor["resources"]:
        if "schema" in each:
            if each["path"] not in files:
                raise ReleaseError(f"{each['path']} is missing, and {DESCRIPTOR} describes it.")
            schemas[each["name"]] = each["schema"]
            frames[each["name"]] = _frame(files[each["path"]], each)
    return Package(descriptor["name"], descriptor["version"], frames, schemas, files, descriptor)


def _frame(data: bytes, resource: dict[str, Any]) -> pl.DataFrame:
    """Return a table of the package, typed by its own schema."""
    path, names = resource["path"], [each["name"] for each in resource["schema"]["fields"]]
    if data.partition(b"\n")[0] != ",".join(names).encode("utf-8", "replace") or len(set(names)) < len(names):
        raise ReleaseError(f"{path} does not have the columns that {DESCRIPTOR} names.")
    try:
        frame, misfits = typed(pl.read_csv(data, infer_schema=False), resource["schema"], resource["name"])
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException) as error:
        said = plain((str(error).strip() or "no reason is given").splitlines()[0])[:300]
        raise ReleaseError(f"{path} cannot be read as CSV: {said}.") from error
    if misfits:
        first = misfits[0]
        raise ReleaseError(
            f"{path}, row {first.row}, {first.column}: {plain(first.value)[:200]} is not of the column's type."
        )
    return frame
