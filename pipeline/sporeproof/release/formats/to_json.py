"""Each taxon as one JSON file, all of them as one, the schema of a taxon, and how well the version is known."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.content import Content, Files
from sporeproof.release.json_schema import taxa_schema, taxon_schema
from sporeproof.release.nested import SCHEMA, catalogue, one_line, records, retired, sources
from sporeproof.release.parting import other_json

ALL = "json/taxa.json"
TAXON_SCHEMA = "json/taxon.schema.json"
TAXA_SCHEMA = "json/taxa.schema.json"
MOST_TOLD = 20


def to_json(content: Content) -> Files:
    """Return the JSON files, by path; keys stand in the order of :mod:`sporeproof.release.nested`."""
    taxa = records(content)
    return {
        **{path_of(id): line for id, line in taxa.items()},
        ALL: _together(content, taxa),
        TAXON_SCHEMA: one_line(taxon_schema(content.form)),
        TAXA_SCHEMA: one_line(taxa_schema()),
    }


def amiss(files: Files, content: Content) -> Iterator[str]:
    """Yield a sentence for each JSON file that is missing or says anything else than the tables."""
    other = (each for each in to_json(content).items() if files.get(each[0]) != each[1])
    for path, wanted in islice(other, MOST_TOLD):
        yield f"{path} is missing." if path not in files else f"{path} {other_json(files[path], wanted)}."


def paths(content: Content) -> list[str]:
    """Return the paths of its files in a release."""
    return [*map(path_of, content.taxa), ALL, TAXON_SCHEMA, TAXA_SCHEMA]


def path_of(id: str) -> str:
    """Return the path of a taxon's record in a release."""
    return f"json/taxa/{id}.json"


def _together(content: Content, taxa: dict[str, bytes]) -> bytes:
    """Return all taxa in one text, a line each, after what is said of the version as a whole."""
    head = {
        "schema": SCHEMA,
        "safety_note": SAFETY_NOTE,
        "provenance": content.provenance,
        "licence": content.words["licence"],
        "retired": retired(content),
        "catalogue": catalogue(content),
        "sources": sources(content),
    }
    lines = b",".join(taxa.values())
    return b"".join((one_line(head).rstrip()[:-1], b',"taxa":[\n', lines, b"]}\n"))
