"""The data files of the Python package: those that every package carries, with the names in a file of their own.

A large checklist has so many names that reading all of them would take longer than the rest of a lookup. They stand a
line each, so that one can be found without reading the others, and the whole is still JSON.
"""

from __future__ import annotations

import json

from sporeproof.release.carried import INDEX, carried
from sporeproof.release.content import Content, Files
from sporeproof.release.nested import one_line

NAMES = "names.json"
KEY = "names"


def records(content: Content) -> Files:
    """Return the data files by path; what :func:`carried` says of names in its index stands in ``names.json``."""
    files = carried(content)
    index = json.loads(files[INDEX])
    lines = (f"{_json(name)}:{_json(taxa)}" for name, taxa in index.pop(KEY).items())
    return {INDEX: one_line(index), NAMES: ("{\n" + ",\n".join(lines) + "\n}\n").encode()} | {
        path: data for path, data in files.items() if path != INDEX
    }


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
