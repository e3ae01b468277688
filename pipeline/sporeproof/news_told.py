"""What got stricter since a version of the data, told from the notices of a later release."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.questions import JSON
from sporeproof.release import read
from sporeproof.release.notices import TABLE
from sporeproof.release.package import DESCRIPTOR, PROVENANCE
from sporeproof.release.refusals import ReleaseError
from sporeproof.release.version import FORM, is_version, numbers
from sporeproof.report.json_text import json_text
from sporeproof.report.markdown import escaped
from sporeproof.run import Stopped

SCHEMA = 1
MARKDOWN = "markdown"
NEEDED = {"notice_id", "version", "taxon_id", "name", "text"}
ANEW = "Read everything anew, and take nothing for unchanged."


def newest(dist: Path) -> Path:
    """Return the folder of the newest release below a folder; raises :class:`Stopped` where there is none."""
    found = [
        (each.parent, FORM.fullmatch(each.parent.name.rpartition("-")[2])) for each in dist.glob(f"*/{DESCRIPTOR}")
    ]
    numbered = [(tuple(map(int, match.groups())), folder) for folder, match in found if match]
    if not numbered:
        raise Stopped(f"{dist} holds no release. Name the folder of one, or make one with `sporeproof release`.")
    return max(numbered)[1]


def notices(package: Path, since: str, format_: str = "text") -> str:
    """Return what got stricter in the versions after ``since``, told in one of the three formats.

    Versions are compared number by number (semver.org, 2.0.0, item 11). Raises :class:`Stopped` where ``since`` is no
    version of the data or a newer one, or where the release does not know what got stricter since.
    """
    if not is_version(since):
        raise Stopped(f"{plain(since)} is no version of the data: those are three whole numbers, such as 1.10.0.")
    folder = package.parent if package.name == DESCRIPTOR else package
    try:
        found = read.read_package(folder)
    except ReleaseError as error:
        raise Stopped(str(error)) from error
    if numbers(since) > numbers(found.version):
        raise Stopped(f"{since} is newer than {folder}, which is {found.version}. Name a release that is newer.")
    frame = found.frames.get(TABLE)
    if frame is None or not set(frame.columns) >= NEEDED:
        raise Stopped(f"{folder} does not tell what got stricter before it: it holds no table of notices. {ANEW}")
    known = _complete_since(found.files.get(PROVENANCE, b""))
    if not is_version(known) or numbers(since) < numbers(known):
        raise Stopped(f"What got stricter between {since} and {known or found.version} is not known here. {ANEW}")
    rows = list(frame.iter_rows(named=True))
    if not all(is_version(str(row["version"])) for row in rows):
        raise Stopped(f"{folder} holds a notice without the version that it belongs to. {ANEW}")
    later = sorted((row for row in rows if numbers(row["version"]) > numbers(since)), key=_place)
    tell = {JSON: _json, MARKDOWN: _markdown}.get(format_, _text)
    return tell(found.version, since, later)


def _complete_since(provenance: bytes) -> str:
    """Return the version after which all notices are known, as the release says; empty where it does not say."""
    try:
        return str(json.loads(provenance)[TABLE]["complete_since"])
    except (ValueError, RecursionError, KeyError, TypeError):
        return ""


def _place(row: dict[str, Any]) -> tuple[tuple[int, int, int], str]:
    return numbers(row["version"]), str(row["notice_id"])


def _json(version: str, since: str, rows: list[dict[str, Any]]) -> str:
    told = {"schema": SCHEMA, "version": version, "since": since, "safety_note": SAFETY_NOTE, "notices": rows}
    return json_text(told)


def _head(version: str, since: str, rows: list[dict[str, Any]]) -> str:
    return f"{len(rows)} recorded as stricter after {since}, up to {version}."


def _line(row: dict[str, Any]) -> str:
    return f"{row['version']}: {_whom(row)}{row['text']}"


def _text(version: str, since: str, rows: list[dict[str, Any]]) -> str:
    return "\n".join([_head(version, since, rows), *(plain(_line(each)) for each in rows)]) + "\n"


def _markdown(version: str, since: str, rows: list[dict[str, Any]]) -> str:
    lines = [f"- {escaped(_line(each))}" for each in rows]
    return "\n".join([f"> {SAFETY_NOTE}", "", _head(version, since, rows), "", *lines]) + "\n"


def _whom(row: dict[str, Any]) -> str:
    about = " ".join(str(row[key]) for key in ("taxon_id", "name") if row[key])
    return f"{about}: " if about else ""
