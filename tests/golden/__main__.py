"""Write the golden texts anew and print how they differ from those before."""

from __future__ import annotations

import difflib
import sys

from tests.golden.texts import HERE, texts


def main() -> None:
    """Write each text that changed; the difference is for the eyes of whoever asked for it."""
    for name, text in texts().items():
        path = HERE / name
        before = path.read_bytes().decode() if path.exists() else ""
        if before != text:
            lines = difflib.unified_diff(before.split("\n"), text.split("\n"), f"{name} before", name, lineterm="")
            sys.stdout.write("\n".join(lines) + "\n")
            path.write_bytes(text.encode())


if __name__ == "__main__":
    main()
