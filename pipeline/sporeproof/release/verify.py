"""Whether a received release is whole, is what it says it is, and says the same in every format.

Nothing in it is believed before it was compared: the files with their checksums, the descriptor with the files, the
tables with their schemas, every format with the tables, and what is said of the whole with what is counted anew.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import polars as pl

from sporeproof.findings import plain
from sporeproof.form.load import Form
from sporeproof.release.content import Content, Files
from sporeproof.release.contract import published
from sporeproof.release.formats.registry import all_formats
from sporeproof.release.manifest import SIGNATURE, SUMS, digests, untrue
from sporeproof.release.news import first_entries, news
from sporeproof.release.news_json import news_json, read_news
from sporeproof.release.notices import NOTICED, TABLE, id_of
from sporeproof.release.opening import open_release
from sporeproof.release.package import DESCRIPTOR, LICENCE, NEWS, NEWS_JSON, PROVENANCE, README, as_json, descriptor
from sporeproof.release.parting import other_value
from sporeproof.release.provenance import provenance
from sporeproof.release.read import Package, described, package_of, undescribed
from sporeproof.release.readme import readme
from sporeproof.release.refusals import ReleaseError, sentences
from sporeproof.release.signature import signer_of
from sporeproof.release.unsaid import unsaid
from sporeproof.release.version import is_version
from sporeproof.tables.faults import faults

LICENCE_WORDS = ("name", "title", "path")
WORDS = ("name", "title", "description", "contributors", "homepage")
# Files that stand for themselves; what they say of earlier versions cannot be computed from this one.
ALONE = frozenset({DESCRIPTOR, LICENCE, NEWS, NEWS_JSON, PROVENANCE, README, SUMS, SIGNATURE})
ANOTHER_SCHEMA = (
    "{table}: its columns are not those of the schema that it is held against. If the package was made with another "
    "schema, verify it with that one, by naming its checklist with `--dataset`."
)
OTHER_SCHEMAS = (
    "The package was made with another schema than the one that it is held against; it differs in {tables}. "
    "Verify it with its own, by naming its checklist with `--dataset`."
)


@dataclass(frozen=True)
class Verified:
    """What came of it: a sentence a fault, what else to know, the content where it can be judged further."""

    faults: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    content: Content | None = None
    signer: str = ""


def verify(path: Path, form: Form, signers: Path | None = None, identity: str = "") -> Verified:
    """Return what is wrong with the release at a path, a folder or an archive; never raises for what it holds.

    ``signers`` is a file of those whose signatures are trusted, ``identity`` whose signature it must be.
    """
    try:
        files = open_release(path)
    except ReleaseError as error:
        return Verified([str(error)])
    sums = digests(files)
    said = list(untrue(files, sums))
    signer, notes = "", list[str]()
    try:
        signer, notes = _signed(files, signers, identity)
    except ReleaseError as error:
        said.append(str(error))
    try:
        told = described(files)
        said += undescribed(told, files, sums)
        content, lacking = _content(package_of(files, told), form)
    except ReleaseError as error:
        return Verified([*said, str(error)], notes, {"files": len(files)}, signer=signer)
    if content is None:
        return Verified([*said, *lacking], notes, {"files": len(files)}, signer=signer)
    said += [*lacking, *_differing(files, sums, content)]
    return Verified(said, notes, _counts(files, content), content, signer)


def _counts(files: Files, content: Content) -> dict[str, int]:
    return {
        "files": len(files),
        "tables": len(content.frames),
        "rows": sum(frame.height for frame in content.frames.values()),
        "formats": len(all_formats()),
    }


def _signed(files: Files, signers: Path | None, identity: str) -> tuple[str, list[str]]:
    """Return who signed the checksums, and what to know where nobody was asked to be trusted."""
    if signers is None:
        there = SIGNATURE in files
        return "", [
            "It is signed, and the signature was not checked: name those you trust." if there else "Not signed."
        ]
    if SIGNATURE not in files:
        raise ReleaseError(f"{SIGNATURE} is missing: nobody has signed the package. Do not use it.")
    return signer_of(files.get(SUMS, b""), files[SIGNATURE], signers, identity), []


def _content(found: Package, form: Form) -> tuple[Content | None, list[str]]:
    """Return what the package is made of, by the schema of this form, or why it cannot be judged by it."""
    lacking = [f"The table {table} is missing." for table in form.tables if table not in found.frames]
    beside = [f"The table {table} belongs to no release." for table in found.frames if table not in form.tables]
    wrong = [
        ANOTHER_SCHEMA.format(table=table)
        for table, frame in found.frames.items()
        if table in form.tables and frame.columns != [each["name"] for each in form.tables[table]["fields"]]
    ]
    whence = _whence(found.files)
    if whence is None:
        wrong.append(f"{PROVENANCE} is missing or cannot be read, so that nothing says whence the package comes.")
    if lacking or beside or wrong or whence is None:
        return None, [*lacking, *beside, *wrong]
    words = {key: found.descriptor[key] for key in WORDS if key in found.descriptor}
    words["licence"] = _licence(found.descriptor.get("licenses"))
    words["similarity_threshold"] = whence.get("similarity_threshold")
    return Content(found.frames, form, words, found.version, whence), list(_other_schemas(found, form))


def _licence(given: Any) -> dict[str, Any]:
    """Return the licence of the data, its words in the order in which the formats write them."""
    found = given[0] if isinstance(given, list) and given and isinstance(given[0], dict) else {}
    return {key: found[key] for key in LICENCE_WORDS if key in found} | found


def _other_schemas(found: Package, form: Form) -> Iterator[str]:
    """Yield the tables whose columns are the same, and whose types, words, patterns or keys are not."""
    others = [table for table, schema in form.tables.items() if found.schemas[table] != published(schema)]
    if others:
        yield OTHER_SCHEMAS.format(tables=", ".join(others))


def _whence(files: Files) -> dict[str, Any] | None:
    try:
        found = json.loads(files.get(PROVENANCE, b""))
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _differing(files: Files, sums: dict[str, str], content: Content) -> Iterator[str]:
    """Yield what the files of a release say otherwise than its tables."""
    form = content.form
    try:
        broken = faults(content.frames, form)
    except (Exception, pl.exceptions.PanicException) as error:
        yield _stumbled("its tables", error)
        return
    if broken:
        yield from sentences(broken, form)
        return
    whence = content.provenance
    try:
        # Formats tell of the provenance in the order in which it is made; a file of JSON need not keep that.
        content = replace(content, provenance=_whence_anew(content))
    except (Exception, pl.exceptions.PanicException) as error:
        yield _stumbled(PROVENANCE, error)
        return
    parts: dict[str, Callable[[], Iterable[str]]] = {
        "its proofs": lambda: unsaid(content.frames, form),
        "its files": lambda: _unclaimed(files, content),
        PROVENANCE: lambda: _whence_differs(whence, content),
        DESCRIPTOR: lambda: _descriptor_differs(files, sums, content),
        "its pages": lambda: _pages_differ(files, content),
        NEWS_JSON: lambda: _news_differ(files, content),
    }
    for name, each in all_formats().items():
        parts[name] = lambda amiss=each.amiss: amiss(files, content)  # type: ignore[misc]
    for name, part in parts.items():
        try:
            yield from part()
        # Its words may be of any kind: what cannot be compared is a fault of the package, and no traceback.
        except (Exception, pl.exceptions.PanicException) as error:
            yield _stumbled(name, error)


def _stumbled(what: str, error: BaseException) -> str:
    said = plain(f"{type(error).__name__}: {error}")[:200]
    return f"What the package holds cannot be compared with {what} ({said}). Take the package anew."


def _unclaimed(files: Files, content: Content) -> Iterator[str]:
    """Yield the files that no format knows, and those of the release as a whole that are missing."""
    claimed = {path for each in all_formats().values() for path in each.paths(content)}
    yield from (f"{path} belongs to no format of a release." for path in sorted(files.keys() - claimed - ALONE))
    yield from (f"{path} is missing." for path in sorted({NEWS, NEWS_JSON, README} - files.keys()))


def _whence_anew(content: Content) -> dict[str, Any]:
    """Return the provenance as it is counted and summed anew; what made the version, and since when, is only told."""
    said = content.provenance
    schema, tool = said.get("schema"), said.get("tool")
    since = str(schema.get("since")) if isinstance(schema, dict) else ""
    notices = said.get(TABLE)
    known = str(notices.get("complete_since")) if isinstance(notices, dict) else ""
    made = provenance(content.frames, content.form, content.words, content.version, since, known)
    if isinstance(tool, dict) and isinstance(tool.get("version"), str):
        made["tool"] = {**made["tool"], "version": tool["version"]}
    return made


def _whence_differs(said: dict[str, Any], content: Content) -> Iterator[str]:
    """Yield what the provenance says otherwise than what is counted and summed anew."""
    made = content.provenance
    if where := other_value(said, made):
        yield f"{PROVENANCE} {where}."
    told = {"table schemas": made["schema"]["since"], "tool": made["tool"]["version"]}
    told["history of notices"] = made[TABLE]["complete_since"]
    for what, version in told.items():
        if not is_version(version):
            yield f"{PROVENANCE}: {plain(version)[:60]!r} is no version of the {what}."
    threshold = made["similarity_threshold"]
    if threshold is not None and (isinstance(threshold, bool) or not isinstance(threshold, int | float)):
        yield f"{PROVENANCE}: the similarity from which two taxa count as alike is no number."


def _descriptor_differs(files: Files, sums: dict[str, str], content: Content) -> Iterator[str]:
    sizes = {path: len(data) for path, data in files.items()}
    made = descriptor(content, sizes, sums)
    if where := other_value(json.loads(files[DESCRIPTOR]), made):
        yield f"{DESCRIPTOR} {where}."
    elif files[DESCRIPTOR] != as_json(made):
        yield f"{DESCRIPTOR}: the same facts, but not written as a release writes them."


def _pages_differ(files: Files, content: Content) -> Iterator[str]:
    if files[PROVENANCE] != as_json(content.provenance):
        yield f"{PROVENANCE}: not written as a release writes it."
    if README in files and files[README] != readme(content).encode():
        yield f"{README} is not the page of this release."


def _news_differ(files: Files, content: Content) -> Iterator[str]:
    """Yield what the news says otherwise than the tables, and the page otherwise than the news for programs.

    What changed can be computed again for a first version only. Of a later one its notices are compared, and the page
    is written anew from what ``news.json`` tells; the figures of the engine at the page's end are not judged.
    """
    if NEWS_JSON not in files or NEWS not in files:
        return
    version, previous, told = read_news(files[NEWS_JSON])
    if version.number != content.version:
        yield f"{NEWS_JSON} tells of another version than {content.version}."
    wanted = told if previous else first_entries(content.frames, content.form)
    if news_json(version, previous, wanted) != files[NEWS_JSON]:
        yield f"{NEWS_JSON} does not tell what a release tells of its changes."
    if not files[NEWS].startswith(news(version, previous, wanted, content.frames, content.form).rstrip().encode()):
        yield f"{NEWS} does not tell what {NEWS_JSON} and the tables say."
    changes = [each for each in told if each.kind in NOTICED]
    ids = {id_of(content.version, each.table, each.key, each.column): each.text for each in changes}
    rows = {row["notice_id"]: row["text"] for row in content.rows[TABLE] if row["version"] == content.version}
    for id in sorted(ids.keys() | rows.keys()):
        if ids.get(id) != rows.get(id):
            yield f"{NEWS_JSON} and the table {TABLE} do not say the same of {plain(id)[:100]}."
