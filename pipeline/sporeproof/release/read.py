"""Reads a package folder back into frames.

It may come from anybody, so its descriptor is inspected before any file that it names is opened, and nothing
outside the folder ever is.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import polars as pl

from sporeproof.findings import Trouble, plain
from sporeproof.form.frames import DTYPES
from sporeproof.release.content import Files
from sporeproof.release.contract import Schemas
from sporeproof.release.manifest import SUMS
from sporeproof.release.package import DESCRIPTOR
from sporeproof.release.refusals import ReleaseError
from sporeproof.release.version import is_version
from sporeproof.tables.faults import Frames, typed
from sporeproof.text.files import fetch

MOST_WORDS = 64 * 1024 * 1024
MOST_ROWS = 4 * 1024 * 1024 * 1024
SUM_LINE = re.compile(r"([0-9a-f]{64})  (.+)")
TROUBLES = {
    "link": "is a link, and links are not followed",
    "outside": "leads out of the package",
    "not-a-file": "is not a plain file",
}


@dataclass(frozen=True)
class Package:
    """A package that was read: its version, its tables, and every file that its checksums name."""

    name: str
    version: str
    frames: Frames
    schemas: Schemas
    files: Files = field(repr=False)


def read_package(folder: Path) -> Package:
    """Return the package in a folder; raises :class:`ReleaseError` where it cannot be trusted."""
    if not folder.is_dir():
        raise ReleaseError(f"{folder}: there is no such folder. Give the folder that holds {DESCRIPTOR}.")
    descriptor = _descriptor(folder)
    resources = [_resource(folder, each) for each in descriptor["resources"]]
    files = _files(folder, {each["path"]: each["bytes"] for each in resources})
    frames: Frames = {}
    schemas: Schemas = {}
    for each in resources:
        _prove(folder, each, files)
        if "schema" in each:
            schemas[each["name"]] = each["schema"]
            frames[each["name"]] = _frame(folder / each["path"], files[each["path"]], each)
    return Package(descriptor["name"], descriptor["version"], frames, schemas, files)


def _descriptor(folder: Path) -> dict[str, Any]:
    path = folder / DESCRIPTOR
    try:
        found = json.loads(_fetch(folder, DESCRIPTOR, MOST_WORDS))
    except (ValueError, RecursionError) as error:
        raise ReleaseError(f"{path} cannot be read as JSON: {error}. Take the package anew.") from error
    sound = isinstance(found, dict) and isinstance(found.get("resources"), list)
    if not sound or not isinstance(found.get("name"), str) or not is_version(str(found.get("version"))):
        raise ReleaseError(f"{path} gives no name, version or resources of a package of this kind.")
    return dict(found)


def _resource(folder: Path, found: Any) -> dict[str, Any]:
    """Return a resource that is safe to open: one plain file below the folder, its schema written out."""
    given = found if isinstance(found, dict) else {}
    path = _inner(folder, given.get("path"))
    name = f"{folder / DESCRIPTOR}: the resource {path}"
    if not isinstance(given.get("name"), str) or "data" in given or isinstance(given.get("dialect"), str):
        raise ReleaseError(f"{name} is not one named file with plain rows.")
    size, digest = given.get("bytes"), given.get("hash")
    if not isinstance(size, int) or not isinstance(digest, str) or not 0 <= size <= MOST_ROWS:
        raise ReleaseError(f"{name} has no size or checksum, so that it cannot be trusted.")
    if "schema" in given and not _is_schema(given["schema"]):
        raise ReleaseError(f"{name} has no table schema that is written out and known here.")
    return given


def _is_schema(schema: Any) -> bool:
    """Tell whether a schema is written out, with fields of known types and a key."""
    fields = schema.get("fields") if isinstance(schema, dict) else None
    if not isinstance(fields, list) or not fields or not isinstance(schema.get("primaryKey"), list):
        return False
    return all(
        isinstance(each, dict) and isinstance(each.get("name"), str) and _type(each) in DTYPES for each in fields
    )


def _type(field: dict[str, Any]) -> str:
    return str(field.get("type"))


def _inner(folder: Path, path: Any) -> str:
    """Return a path that stays below the folder; refuse every other one without opening it."""
    if not isinstance(path, str) or not path or not path.isprintable():
        raise ReleaseError(f"{folder / DESCRIPTOR}: a resource has no path of its own.")
    steps = path.split("/")
    if path.startswith("/") or "\\" in path or ":" in path or any(each in {"", ".", "..", "~"} for each in steps):
        raise ReleaseError(f"{folder / DESCRIPTOR}: the path {plain(path)} leads out of the package.")
    return path


def _fetch(folder: Path, path: str, most: int) -> bytes:
    found = fetch(folder / path, folder, most)
    if isinstance(found, Trouble):
        why = TROUBLES.get(found.kind, f"cannot be read: {' '.join(found.words)}")
        raise ReleaseError(f"{folder / path} {why}. Take the package anew.")
    if len(found) > most:
        raise ReleaseError(f"{folder / path} is larger than the package says, or than a package can be.")
    return found


def _files(folder: Path, sizes: dict[str, int]) -> Files:
    """Return every file that the checksums name, each of them true."""
    files: Files = {SUMS: _fetch(folder, SUMS, MOST_WORDS)}
    for line in files[SUMS].decode("utf-8", "replace").splitlines():
        found = SUM_LINE.fullmatch(line)
        if found is None:
            raise ReleaseError(f"{folder / SUMS}: the line {plain(line)} is not a checksum and a path.")
        path = _inner(folder, found[2])
        files[path] = _fetch(folder, path, sizes.get(path, MOST_WORDS))
        if hashlib.sha256(files[path]).hexdigest() != found[1]:
            raise ReleaseError(f"{folder / path} is not the file that {SUMS} was made for. Take the package anew.")
    return files


def _prove(folder: Path, resource: dict[str, Any], files: Files) -> None:
    path = resource["path"]
    if path not in files:
        raise ReleaseError(f"{folder / SUMS} has no line for {path}. Take the package anew.")
    true = f"sha256:{hashlib.sha256(files[path]).hexdigest()}"
    if len(files[path]) != resource["bytes"] or true != resource["hash"].lower():
        raise ReleaseError(f"{folder / path} is not the file that {DESCRIPTOR} describes. Take the package anew.")


def _frame(path: Path, data: bytes, resource: dict[str, Any]) -> pl.DataFrame:
    """Return a table of the package, typed by its own schema."""
    names = [each["name"] for each in resource["schema"]["fields"]]
    try:
        texts = pl.read_csv(data, infer_schema=False)
    except pl.exceptions.PolarsError as error:
        raise ReleaseError(f"{path} cannot be read as CSV: {str(error).splitlines()[0]}.") from error
    if texts.columns != names:
        raise ReleaseError(f"{path} does not have the columns that {DESCRIPTOR} names.")
    frame, misfits = typed(texts, resource["schema"], resource["name"])
    if misfits:
        first = misfits[0]
        raise ReleaseError(
            f"{path}, row {first.row}, {first.column}: {plain(first.value)} is not of the column's type."
        )
    return frame
