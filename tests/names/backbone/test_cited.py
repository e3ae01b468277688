"""A Darwin Core Archive whose names bear their authors, with no column that tells the two apart. All is invented."""

import pytest

from sporeproof import indexed
from sporeproof.names.backbone.ask import backbone
from tests.names.checklist import Asking

DWC = "http://rs.tdwg.org/dwc/terms/"
META = f"""<archive xmlns="http://rs.tdwg.org/dwc/text/">
<core encoding="UTF-8" fieldsTerminatedBy="\\t" linesTerminatedBy="\\n" fieldsEnclosedBy="" ignoreHeaderLines="1"
 rowType="{DWC}Taxon"><files><location>Taxon.tsv</location></files><id index="0"/>
<field index="1" term="{DWC}scientificName"/><field index="2" term="{DWC}taxonRank"/></core></archive>"""
NAMES = {
    "Fictum Nemo": "genus",
    "Fictum album (Nemo) Invent. & Imag.": "species",
    "Fictum album var. nigrum Invent.": "variety",
    "Fictum bare": "species",
    "Fictum pallens Nemo ex Invent.": "species",
    "Fictum (Falsum) sectum": "species",
    "Fictum medium Nemo var. rubrum Invent.": "",
}


@pytest.fixture(scope="module")
def asking(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cited")
    rows = [f"c{at}\t{name}\t{rank}" for at, (name, rank) in enumerate(NAMES.items())]
    (folder / "archive").mkdir()
    (folder / "archive/meta.xml").write_text(META)
    (folder / "archive/Taxon.tsv").write_text("\n".join(["id\tname\trank", *rows]) + "\n")
    indexed.names_index(folder / "archive", folder / "index")
    with backbone(folder / "index") as found:
        yield Asking(found)


@pytest.mark.parametrize(
    ("name", "authorship"),
    [("Fictum album", "(Nemo) Invent. & Imag."), ("Fictum album nigrum", "Invent."), ("Fictum bare", "")],
)
def test_names_and_authors_are_parted(asking, name, authorship):
    usage = asking.match(name, rank="VARIETY" if name.count(" ") > 1 else "").usage
    assert (usage.canonical, usage.authorship) == (name, authorship)


@pytest.mark.parametrize("name", ["Fictum pallens", "Fictum sectum", "Fictum medium"])
def test_where_the_authors_begin_is_never_guessed(asking, name):
    assert asking.verdict(name).outcome not in {"current", "renamed"}
