"""One small checklist as each kind of download has it. Every name is invented: Fictum grows nowhere; no key is real."""

from __future__ import annotations

import gzip
import zipfile
from pathlib import Path

from sporeproof import indexed
from sporeproof.names.backbone.manifest import manifest_of
from sporeproof.names.download.layout import SIMPLE_COLUMNS
from tests.names.downloads import DWC

FLAT = ("kingdom", "phylum", "class", "order", "family", "genus")
HIGHER = ("Fungi", "Fictomycota", "Fictomycetes", "Fictales", "Fictaceae", "Fictum")
# Key, parent, accepted, rank, status, canonical name, and authorship in brackets and after them.
CHECKLIST = [
    *(
        (str(at), str(at - 1) if at > 1 else "", "", rank.upper(), "ACCEPTED", name, "", "")
        for at, (rank, name) in enumerate(zip(FLAT, HIGHER, strict=True), 1)
    ),
    ("7", "6", "", "SPECIES", "ACCEPTED", "Fictum album", "Inv.", "Nemo"),
    ("8", "", "7", "SPECIES", "SYNONYM", "Fictum pallidum", "", "Inv."),
    ("9", "7", "", "VARIETY", "ACCEPTED", "Fictum album nigrum", "", "Nemo"),
    ("10", "", "9", "FORM", "SYNONYM", "Fictum pallidum nigrum", "", "Inv. & Nemo"),
    ("11", "", "7", "SPECIES", "AMBIGUOUS_SYNONYM", "Fictum dubium", "", "Imag."),
    ("12", "6", "", "SPECIES", "PROVISIONALLY_ACCEPTED", "Fictum incertum", "", ""),
    ("13", "", "7", "SPECIES", "MISAPPLIED", "Fictum falsum", "", "Imag."),
    ("14", "6", "", "UNRANKED", "ACCEPTED", "Fictum ignotum", "", ""),
    ("15", "6", "", "SPECIES", "ACCEPTED", "Fictum øreum-album", "", "Ňemö, 1901"),
]
# The accepted usage, the species and the higher taxon of each, worked out by hand.
PLACES = {
    "1": (None, None, "Fungi"), "2": (None, None, "Fictomycota"), "3": (None, None, "Fictomycetes"),
    "4": (None, None, "Fictales"), "5": (None, None, "Fictaceae"), "6": (None, None, "Fictum"),
    "7": (None, "7", "Fictum"), "8": ("7", "7", "Fictum"), "9": (None, "7", "Fictum"), "10": ("9", "7", "Fictum"),
    "11": ("7", "7", "Fictum"), "12": (None, "12", "Fictum"), "13": ("7", "7", "Fictum"), "14": (None, None, "Fictum"),
    "15": (None, "15", "Fictum"),
}  # fmt: skip
VERSION_1 = {
    "PROVISIONALLY_ACCEPTED": "DOUBTFUL",
    "AMBIGUOUS_SYNONYM": "PROPARTE_SYNONYM",
    "SYNONYM": "HOMOTYPIC_SYNONYM",
}
MARKS = {"VARIETY": "var.", "FORM": "f."}


def authorship_of(bracket: str, after: str) -> str:
    """Return an authorship as it is cited."""
    return f"({bracket}) {after}".strip() if bracket else after


def whole_of(rank: str, name: str, authorship: str) -> str:
    """Return a name as it is printed: with its rank where it is infraspecific, and its authors."""
    words = name.split(" ")
    marked = [*words[:2], MARKS[rank], *words[2:]] if rank in MARKS else words
    return " ".join([*marked, authorship]).strip()


def simple_line(row: tuple[str, ...], **other: str) -> str:
    """Return a row of `simple.txt`, its keys of the classification null."""
    key, parent, accepted, rank, status, name, bracket, after = row
    author, _, year = after.partition(", ")
    cells = {
        "id": key, "parent_key": parent or accepted, "is_synonym": "t" if accepted else "f",
        "status": VERSION_1.get(status, status), "rank": rank, "nom_status": "{}", "origin": "SOURCE", "name_id": key,
        "scientific_name": whole_of(rank, name, authorship_of(bracket, after)), "canonical_name": name,
        "authorship": author, "year": year, "bracket_authorship": bracket, "issues": "{}",
    } | other  # fmt: skip
    return "\t".join(cells.get(column) or "\\N" for column in SIMPLE_COLUMNS)


def simple(rows: list[tuple[str, ...]], path: Path) -> Path:
    """Write rows as `simple.txt`, packed where the path says so."""
    data = "".join(simple_line(row) + "\n" for row in rows).encode()
    path.write_bytes(gzip.compress(data, mtime=0) if path.suffix == ".gz" else data)
    return path


BACKBONE = (
    "taxonID", "datasetID", "parentNameUsageID", "acceptedNameUsageID", "originalNameUsageID", "scientificName",
    "scientificNameAuthorship", "canonicalName", "genericName", "specificEpithet", "infraspecificEpithet", "taxonRank",
    "nameAccordingTo", "namePublishedIn", "taxonomicStatus", "nomenclaturalStatus", "taxonRemarks", *FLAT,
)  # fmt: skip
FLAT_ONLY = (
    "taxonID", "acceptedNameUsageID", "scientificName", "scientificNameAuthorship", "taxonRank", "taxonomicStatus",
    *FLAT,
)  # fmt: skip


def darwin_core_cells(row: tuple[str, ...]) -> dict[str, str]:
    """Return a row by its terms, as the backbone writes it: small letters and blanks."""
    key, parent, accepted, rank, status, name, bracket, after = row
    authorship = authorship_of(bracket, after)
    words = name.split(" ") if name.startswith("Fictum") else []
    at = FLAT.index(rank.lower()) if rank.lower() in FLAT else len(FLAT)
    return {
        "taxonID": key, "parentNameUsageID": parent, "acceptedNameUsageID": accepted,
        "scientificName": whole_of(rank, name, authorship), "scientificNameAuthorship": authorship,
        "canonicalName": name, "taxonRank": rank.lower(),
        "taxonomicStatus": VERSION_1.get(status, status).lower().replace("_", " "),
        **dict(zip(("genericName", "specificEpithet", "infraspecificEpithet"), words, strict=False)),
        **dict(zip(FLAT[: at + 1], HIGHER, strict=False)),
    }  # fmt: skip


def darwin_core(
    rows: list[tuple[str, ...]],
    path: Path,
    columns: tuple[str, ...] = BACKBONE,
    *,
    header: bool = True,
    **constant: str,
) -> Path:
    """Write rows as a Darwin Core Archive; a ``constant`` stands in `meta.xml` alone, as the default of a term."""
    lines = [columns] if header else []
    lines += [tuple(darwin_core_cells(row).get(column, "") for column in columns) for row in rows]
    fields = "".join(f'<field index="{at}" term="{DWC}{term}"/>' for at, term in enumerate(columns))
    fields += "".join(f'<field default="{said}" term="{DWC}{term}"/>' for term, said in constant.items())
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("Taxon.tsv", "".join("\t".join(line) + "\n" for line in lines))
        archive.writestr(
            "meta.xml",
            f'<archive xmlns="http://rs.tdwg.org/dwc/text/"><core encoding="UTF-8" fieldsTerminatedBy="\\t" '
            f'linesTerminatedBy="\\n" fieldsEnclosedBy="" ignoreHeaderLines="{int(header)}" rowType="{DWC}Taxon">'
            f'<files><location>Taxon.tsv</location></files><id index="0"/>{fields}</core></archive>',
        )
    return path


def coldp(rows: list[tuple[str, ...]], path: Path, *, words: bool = True) -> Path:
    """Write rows as a Catalogue of Life Data Package; without ``words`` the epithets have no columns of their own."""
    names = ("genericName", "specificEpithet", "infraspecificEpithet") if words else ()
    columns = ("ID", "parentID", "status", "scientificName", "authorship", "rank", *names)
    lines = ["\t".join(f"col:{column}" for column in columns)]
    for key, parent, accepted, rank, status, name, bracket, after in rows:
        parts = name.split(" ") if words and " " in name else []
        cells = [key, parent or accepted, status.lower().replace("_", " "), whole_of(rank, name, ""),
                 authorship_of(bracket, after), rank.lower(), *parts]  # fmt: skip
        lines.append("\t".join(cells + [""] * (len(columns) - len(cells))))
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("NameUsage.tsv", "\n".join(lines) + "\n")
        archive.writestr("metadata.yaml", "title: Invented fungi\nversion: 2026-01-02\n")
    return path


def rows_of(file: Path, index: Path) -> dict[str, dict]:
    """Index a download; return its usages by key, with the higher taxon that each lies in as ``home``."""
    import polars as pl

    indexed.names_index(file, index)
    tables = index / manifest_of(index).folder
    higher = pl.read_parquet(tables / "higher.parquet")
    found = pl.read_parquet(tables / "usages-*.parquet").with_columns(pl.col(pl.Categorical).cast(pl.String)).to_dicts()
    places = {row["number"]: row for row in higher.to_dicts()}
    for row in found:
        place = places.get(row["home"], {})
        row["home"] = place.get("name")
        row["line"] = {rank: place.get(rank) for rank in FLAT}
    return {row["key"]: row for row in found}
