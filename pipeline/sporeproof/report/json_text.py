"""JSON that is safe to print: what a terminal would obey, or a reader would not see, is escaped."""

from __future__ import annotations

import json


def json_text(value: object) -> str:
    r"""Return a value as indented JSON with a newline at its end.

    Letters stay as they are. Signs that do not print, direction marks and halves of pairs among them, become
    ``\uXXXX``: a reader of JSON gets the same text back.
    """
    text = json.dumps(value, ensure_ascii=False, indent=2)
    return "".join(each if each.isprintable() or each == "\n" else json.dumps(each)[1:-1] for each in text) + "\n"
