"""An index opened: it matches names by the service's rules, many at a time."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sporeproof.names.backbone.look_up import LookUp
from sporeproof.names.backbone.manifest import Manifest, manifest_of
from sporeproof.names.matching.asked import Asked
from sporeproof.names.matching.flow import carried, way_of
from sporeproof.names.matching.usage import Match

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

# Names looked up together: the more, the less often the index is read; the fewer, the less is held at once.
TOGETHER = 50_000
# Nothing is kept that only makes a second run faster: memory is to depend on the names, not on the rows.
QUIETLY = "SET enable_progress_bar = false"
SETTINGS: dict[str, str | int | float | list[str]] = {"memory_limit": "2GB", "enable_external_file_cache": False}


@dataclass(frozen=True)
class Backbone:
    """An index that can be asked; ``connection`` holds what a run needs beside it."""

    manifest: Manifest
    tables: Path
    connection: DuckDBPyConnection
    look_up: LookUp

    def matches(self, asked: list[Asked], *, strict: bool = False) -> Iterator[Match]:
        """Yield the match of each name, in order."""
        for start in range(0, len(asked), TOGETHER):
            part = asked[start : start + TOGETHER]
            yield from carried((way_of(each, strict=strict) for each in part), self.look_up)


@contextmanager
def backbone(index: Path) -> Iterator[Backbone]:
    """Open an index for the time of a block; raises :class:`NoIndex`. What it holds for a while goes afterwards."""
    import duckdb

    manifest = manifest_of(index)
    with tempfile.TemporaryDirectory(prefix="sporeproof-") as folder:
        connection = duckdb.connect(config={"temp_directory": folder, **SETTINGS})
        try:
            connection.execute(QUIETLY)
            tables = index / manifest.folder
            yield Backbone(manifest, tables, connection, LookUp(tables, connection))
        finally:
            connection.close()
