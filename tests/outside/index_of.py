"""An archive of a release as a download of names: indexed as any other, and asked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sporeproof import indexed
from sporeproof.names.backbone.ask import backbone
from sporeproof.names.matching.asked import Given, asked_all
from sporeproof.names.verdict import Verdict, judged
from sporeproof.release.content import Content, Row


def answers(data: bytes, content: Content, folder: Path) -> tuple[list[str], list[tuple[Row, Verdict]]]:
    """Return what indexing said, and the answer of the index to every name of the dataset, with its row."""
    archive = folder / "archive.zip"
    archive.write_bytes(data)
    said = indexed.names_index(archive, folder / "index")
    rows = list(content.rows["names"])
    asked = asked_all(Given(each["name"], each["authorship"] or "") for each in rows)
    with backbone(folder / "index") as found:
        return said, [(row, judged(*pair)) for row, *pair in zip(rows, asked, found.matches(asked), strict=True)]


def otherwise(found: list[tuple[Row, Verdict]]) -> Iterator[str]:
    """Yield each name whose answer is not what the dataset says; what is no plain synonym must not be settled."""
    for row, verdict in found:
        settled = (verdict.outcome, verdict.accepted.key if verdict.accepted else "")
        if row["role"] in {"misspelling", "misapplied"}:
            right = settled[0] in {"split", "doubtful", "homonym"}
        else:
            right = settled == ({"current": "current", "former": "renamed"}[row["role"]], row["taxon_id"])
        if not right:
            yield f"{row['name']} ({row['role']} of {row['taxon_id']}): {settled}"
