"""The Catalogue of Life Data Package in the hands of programs that others wrote.

- coldp (PyPI, MIT) reads the tables that it knows: names with their taxa and synonyms, references, places, hosts.
- Its lists of columns are what the columns of those tables are held against.
- PyYAML (MIT) reads the metadata.
"""

from __future__ import annotations

import warnings
import zipfile
from io import BytesIO

import pytest
import yaml

from sporeproof.release.formats.to_coldp import PATH, to_coldp
from tests.release.formats import spoiled

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from coldp import coldp


@pytest.fixture(scope="module")
def data(real):
    return to_coldp(real)[PATH]


@pytest.fixture(scope="module")
def package(data, tmp_path_factory):
    """The package as the library reads it; it wants a folder."""
    folder = tmp_path_factory.mktemp("coldp")
    with zipfile.ZipFile(BytesIO(data)) as archive:
        archive.extractall(folder / "checklist")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return coldp.COLDP("checklist", str(folder), code="ICN")


def rows(frame) -> list[dict[str, str]]:
    return frame.fillna("").astype(str).to_dict("records")


def test_the_library_reads_every_name(package, real):
    found = {each["ID"]: each for each in rows(package.names)}
    assert len(found) == len(real.rows["names"])
    whole = sorted((each["scientificName"], each["authorship"]) for each in found.values())
    assert whole == sorted((each["name"], each["authorship"] or "") for each in real.rows["names"])
    assert {each["code"] for each in found.values()} == {"botanical"}


def test_the_library_reads_every_taxon_as_accepted(package, real):
    names = {each["ID"]: each for each in rows(package.names)}
    taxa = rows(package.taxa)
    assert {each["ID"] for each in taxa} == real.taxa.keys()
    for each in taxa:
        row = real.taxa[each["ID"]]
        assert names[each["nameID"]]["scientificName"] == row["name"]
        assert (names[each["nameID"]]["rank"], each["family"]) == (row["rank"], row["family"] or "")


def test_the_library_leads_every_former_name_to_its_taxon(package, real):
    names = {each["ID"]: each for each in rows(package.names)}
    found = sorted((names[each["nameID"]]["scientificName"], each["taxonID"]) for each in rows(package.synonyms))
    former = [each for each in real.rows["names"] if each["role"] != "current"]
    assert found == sorted((each["name"], each["taxon_id"]) for each in former)


def test_the_library_reads_every_reference(package, real):
    found = {each["ID"]: each["citation"] for each in rows(package.references)}
    assert found == {each["source_id"]: " ".join((each["citation"] or "").split()) for each in real.rows["sources"]}


def test_the_library_reads_every_host_and_place(package, real):
    hosts = {
        (each["taxonID"], each["relatedTaxonScientificName"], each["type"])
        for each in rows(package.species_interactions)
    }
    wanted = {(each["taxon_id"], each["value"], "has host") for each in real.rows["settings"] if each["kind"] == "host"}
    assert hosts == wanted
    assert len(hosts) > 100
    places = {(each["taxonID"], each["area"]) for each in rows(package.distributions)}
    assert places >= {(each["taxon_id"], each["region"]) for each in real.rows["seasons"]}


@pytest.mark.parametrize(
    ("name", "known"),
    [
        ("NameUsage", coldp.nameusage_headings),
        ("Reference", [*coldp.reference_headings, "doi", "isbn", "remarks"]),  # the last three from memory
        ("Distribution", coldp.distribution_headings),
        ("SpeciesInteraction", coldp.species_interaction_headings),
    ],
)
def test_every_column_is_one_of_the_standard(data, name, known):
    assert set(spoiled.rows(spoiled.members(data)[f"{name}.csv"])[0]) <= set(known)


def test_the_library_finds_nothing_that_leads_nowhere(package, real):
    """By the links between tables that the library itself declares."""
    tables = {
        "name": package.names, "taxon": package.taxa, "synonym": package.synonyms, "reference": package.references,
        "distribution": package.distributions, "speciesinteraction": package.species_interactions,
    }  # fmt: skip
    links = 0
    for target, froms in coldp.id_mappings.items():
        for source, columns in froms.items():
            for column in columns:
                if source in tables and column in tables[source]:
                    ids = {each[column] for each in rows(tables[source]) if each[column]}
                    assert ids <= {each["ID"] for each in rows(tables[target])}, (source, column)
                    links += len(ids)
    assert links > len(real.taxa)


def test_the_metadata_are_read_by_others(data, real):
    told = yaml.safe_load(spoiled.members(data)["metadata.yaml"])
    assert told["title"] == real.words["title"]
    assert [each["organisation"] for each in told["creator"]] == ["The contributors of the checklist"]
