"""Write golden texts and the generated schema anew, and print how they differ from those before."""

from __future__ import annotations

import difflib
import sys

from sporeproof.form.json_schema import entry_schema
from sporeproof.form.load import load_form
from tests.golden.texts import HERE, texts

SCHEMA = HERE.parents[1] / "schema"


def main() -> None:
    """Write each text that changed; the difference is for the eyes of whoever asked for it."""
    generated = {HERE / name: text for name, text in texts().items()}
    generated[SCHEMA / "entry.schema.json"] = entry_schema(load_form(SCHEMA))
    for path, text in generated.items():
        before = path.read_bytes().decode() if path.exists() else ""
        if before != text:
            lines = difflib.unified_diff(
                before.split("\n"), text.split("\n"), f"{path.name} before", path.name, lineterm=""
            )
            sys.stdout.write("\n".join(lines) + "\n")
            path.write_bytes(text.encode())


if __name__ == "__main__":
    main()
