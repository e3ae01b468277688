"""A name that can mean several taxa is told with all of them, where the rules speak and not in the review alone."""

import shutil

import pytest

from sporeproof import naming
from sporeproof.names.answers import RECORD
from tests.conftest import ROOT

ROW = "Boletus edulis,,{},,,live,7ddf754f-d193-4cc9-b351-99906754a03b,invented,X3,,EXACT,100,2026-11-26,R1,{},SPECIES\n"


@pytest.mark.parametrize("outcome", ["split", "homonym"])
def test_every_candidate_is_named(tmp_path, outcome):
    for part in ("dataset", "schema"):
        shutil.copytree(ROOT / part, tmp_path / part)
    with (tmp_path / RECORD).open("a", encoding="utf-8") as record:
        record.write(ROW.format(outcome, "Fictum unum Nemo; Fictum duum Nemo"))
    (found,) = [each for each in naming.names_check(tmp_path).checked.findings if each.code == "name.unsettled"]
    assert "Fictum unum Nemo" in found.message
    assert "Fictum duum Nemo" in found.message
    assert "--accept" in found.mend
