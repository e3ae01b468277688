"""The ranks a checklist may give, in their order, and how people write them.

Source: the rank constants of the GBIF name parser, from memory; their order is held to the pairs whose distance
the match service's own tests state (genus and subgenus 1, subspecies and variety 9, family and kingdom 52).
"""

from __future__ import annotations

RANKS = (
    "SUPERDOMAIN", "DOMAIN", "SUBDOMAIN", "INFRADOMAIN", "EMPIRE", "REALM", "SUBREALM", "SUPERKINGDOM", "KINGDOM",
    "SUBKINGDOM", "INFRAKINGDOM", "SUPERPHYLUM", "PHYLUM", "SUBPHYLUM", "INFRAPHYLUM", "PARVPHYLUM", "MICROPHYLUM",
    "NANOPHYLUM", "GIGACLASS", "MEGACLASS", "SUPERCLASS", "CLASS", "SUBCLASS", "INFRACLASS", "SUBTERCLASS",
    "PARVCLASS", "SUPERDIVISION", "DIVISION", "SUBDIVISION", "INFRADIVISION", "SUPERLEGION", "LEGION", "SUBLEGION",
    "INFRALEGION", "MEGACOHORT", "SUPERCOHORT", "COHORT", "SUBCOHORT", "INFRACOHORT", "GIGAORDER", "MAGNORDER",
    "GRANDORDER", "MIRORDER", "SUPERORDER", "ORDER", "NANORDER", "HYPOORDER", "MINORDER", "SUBORDER", "INFRAORDER",
    "PARVORDER", "SUPERSECTION_ZOOLOGY", "SECTION_ZOOLOGY", "SUBSECTION_ZOOLOGY", "FALANX", "GIGAFAMILY",
    "MEGAFAMILY", "GRANDFAMILY", "HYPERFAMILY", "SUPERFAMILY", "FAMILY", "SUBFAMILY", "INFRAFAMILY", "SUPERTRIBE",
    "TRIBE", "SUBTRIBE", "INFRATRIBE", "SUPRAGENERIC_NAME", "SUPERGENUS", "GENUS", "SUBGENUS", "INFRAGENUS",
    "SUPERSECTION_BOTANY", "SECTION_BOTANY", "SUBSECTION_BOTANY", "SUPERSERIES_BOTANY", "SERIES_BOTANY",
    "SUBSERIES_BOTANY", "INFRAGENERIC_NAME", "SPECIES_AGGREGATE", "SPECIES", "INFRASPECIFIC_NAME", "GREX", "KLEPTON",
    "SUBSPECIES", "CULTIVAR_GROUP", "CONVARIETY", "INFRASUBSPECIFIC_NAME", "PROLES", "NATIO", "ABERRATION", "MORPH",
    "SUPERVARIETY", "VARIETY", "SUBVARIETY", "SUPERFORM", "FORM", "SUBFORM", "PATHOVAR", "BIOVAR", "CHEMOVAR",
    "MORPHOVAR", "PHAGOVAR", "SEROVAR", "CHEMOFORM", "FORMA_SPECIALIS", "LUSUS", "CULTIVAR", "MUTATIO", "STRAIN",
    "OTHER", "UNRANKED",
)  # fmt: skip
ORDINAL = {rank: at for at, rank in enumerate(RANKS)}
GENUS, SPECIES_AGGREGATE, SPECIES, UNRANKED = "GENUS", "SPECIES_AGGREGATE", "SPECIES", "UNRANKED"
NO_PLACE = frozenset({"OTHER", UNRANKED})

# How people and older lists write a rank, where it is not the constant in other letters.
WRITTEN = {
    "SP": SPECIES, "SPEC": SPECIES, "SSP": "SUBSPECIES", "SUBSP": "SUBSPECIES", "VAR": "VARIETY",
    "VARIETAS": "VARIETY", "F": "FORM", "FO": "FORM", "FORMA": "FORM", "SECTION": "SECTION_BOTANY",
    "SERIES": "SERIES_BOTANY", "SECT": "SECTION_BOTANY", "SER": "SERIES_BOTANY", "DIVISIO": "DIVISION", "DIV": "PHYLUM",
    "AGG": SPECIES_AGGREGATE, "AGGREGATE": SPECIES_AGGREGATE, "SPECIES GROUP": SPECIES_AGGREGATE,
    "COMPLEX": SPECIES_AGGREGATE, "GEN": GENUS, "FAM": "FAMILY", "ORD": "ORDER", "CL": "CLASS", "REGN": "KINGDOM",
}  # fmt: skip


def rank_read(text: str) -> str:
    """Return the constant of a rank as people write it; empty where it is none, as the service drops it."""
    plain = text.strip().rstrip(".").upper()
    constant = plain.replace(" ", "_").replace("-", "_")
    return constant if constant in ORDINAL else WRITTEN.get(plain, "")


def is_suprageneric(rank: str) -> bool:
    """Tell whether a rank stands above the genus."""
    return rank in ORDINAL and ORDINAL[rank] < ORDINAL[GENUS]


def is_infrageneric(rank: str) -> bool:
    """Tell whether a rank stands between genus and species."""
    return rank in ORDINAL and ORDINAL[GENUS] < ORDINAL[rank] < ORDINAL[SPECIES_AGGREGATE]


def is_below_genus(rank: str) -> bool:
    """Tell whether a rank is that of a species, a group of species, or something below."""
    return rank in ORDINAL and rank not in NO_PLACE and ORDINAL[rank] >= ORDINAL[SPECIES_AGGREGATE]


def is_infraspecific(rank: str) -> bool:
    """Tell whether a rank stands below the species."""
    return rank in ORDINAL and rank not in NO_PLACE and ORDINAL[rank] > ORDINAL[SPECIES]
