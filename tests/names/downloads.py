"""Builds small downloads of every kind, sound and spoiled. Every name is invented: Fictum grows nowhere."""

from __future__ import annotations

import gzip
import io
import zipfile
from pathlib import Path

NULL = "\\N"
AUTHOR = "(Invented) Nemo"


def simple_row(key: int, name: str = "Fictum inventum", **changed: str) -> str:
    """Return one row of the backbone's simple file, without its line end."""
    cells = [str(key), "1", NULL, "f", "ACCEPTED", "SPECIES", "{}", NULL, "SOURCE", NULL]
    cells += ["5", *[NULL] * 6, str(key + 1000), f"{name} {AUTHOR}", name]
    cells += ["Fictum", "inventum", NULL, NULL, "Nemo", NULL, "Invented", NULL, NULL, "{}"]
    at = {"status": 4, "rank": 5, "scientific_name": 18, "issues": 29}
    for column, value in changed.items():
        cells[at[column]] = value
    return "\t".join(cells)


def simple(count: int = 3) -> bytes:
    """Return the backbone's simple file with so many rows."""
    return "".join(simple_row(9000 + number) + "\n" for number in range(count)).encode()


TAXA = (
    "taxonID\tscientificName\ttaxonRank\n"
    "F1\tFictum inventum (Invented) Nemo\tspecies\n"
    "F2\tFictum falsum Nemo\tspecies\n"
)
USAGES = (
    "col:ID\tcol:parentID\tcol:scientificName\tclb:merged\nF1\t\tFictum inventum\tfalse\nF2\tF1\tFictum falsum\ttrue\n"
)
DWC = "http://rs.tdwg.org/dwc/terms/"
FIELDS = f"""
    <id index="0"/>
    <field index="1" term="{DWC}scientificName"/>
    <field index="2" term="{DWC}taxonRank"/>
    <field term="{DWC}kingdom" default="Fungi"/>"""
EML = "<eml><dataset><title>Invented fungi</title><pubDate>2026-01-02</pubDate></dataset></eml>"


def meta(
    fields: str = FIELDS, location: str = "<location>Taxon.tsv</location>", before: str = "", **changed: str
) -> str:
    """Return a ``meta.xml``; ``changed`` are attributes of its core."""
    said = {
        "encoding": "UTF-8",
        "fieldsTerminatedBy": "\\t",
        "linesTerminatedBy": "\\n",
        "fieldsEnclosedBy": "",
        "ignoreHeaderLines": "1",
        "rowType": f"{DWC}Taxon",
    } | changed
    attributes = " ".join(f'{key}="{value}"' for key, value in said.items())
    return (
        f'<?xml version="1.0"?>{before}<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">'
        f"<core {attributes}><files>{location}</files>{fields}</core></archive>"
    )


def zipped(members: dict[str, str | bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Return a ZIP archive of some texts by name."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, text in members.items():
            archive.writestr(name, text)
    return out.getvalue()


def dwca(**changed: str) -> dict[str, str | bytes]:
    """Return the members of a Darwin Core Archive; ``changed`` as in :func:`meta`."""
    return {"meta.xml": meta(**changed), "eml.xml": EML, "Taxon.tsv": TAXA}


def laid(folder: Path, data: bytes | str, name: str = "download") -> Path:
    """Write bytes under a name that says nothing of their kind."""
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


def packed(data: bytes) -> bytes:
    """Return bytes as gzip has them, the same each time."""
    return gzip.compress(data, mtime=0)
