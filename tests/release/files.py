"""Thirty small files with true checksums, to be written and killed; no library is needed to make them."""

from __future__ import annotations

import hashlib

FILES = {f"csv/table-{number}.csv": b"taxon_id\n" * number * 50 for number in range(30)}
FILES["SHA256SUMS"] = "".join(f"{hashlib.sha256(data).hexdigest()}  {path}\n" for path, data in FILES.items()).encode()
