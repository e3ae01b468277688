"""Whatever bytes stand in one file: the check ends, and no other file loses its finding."""

from __future__ import annotations

import shutil

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sporeproof import run
from sporeproof.checks.judge import CRASHED
from sporeproof.records.read import TAXA, entry_files
from tests.conftest import ROOT

ENTRIES = [path.read_bytes() for path in entry_files(ROOT)]
SPLINTERS = [
    b"&a ",
    b"*a",
    b"!!x ",
    b"\t",
    b"\xff",
    b"\xef\xbb\xbf",
    b"\x00",
    b"[",
    b"}",
    b": ",
    b"- ",
    b"NO",
    b"'",
    b"\n---\n",
]


@st.composite
def spoilt(draw: st.DrawFn) -> bytes:
    """A real entry with pieces cut out, doubled or driven in; or bytes of no kind."""
    if draw(st.booleans()):
        return draw(st.binary(max_size=400))
    data = draw(st.sampled_from(ENTRIES))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(data)))
        cut = draw(st.integers(0, 30))
        data = data[:at] + draw(st.sampled_from([b"", data[at : at + 2 * cut], *SPLINTERS])) + data[at + cut :]
    return data


SPOILT_AND_WATCHED = {"galerina-marginata", "hydnum-repandum"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    root = tmp_path_factory.mktemp("spoilt")
    for part in ("dataset", "schema"):
        shutil.copytree(ROOT / part, root / part)
    # A few real entries are company enough; each example checks them all.
    company = sorted(path for path in (root / TAXA).glob("*.yaml") if path.stem not in SPOILT_AND_WATCHED)
    for path in company[6:]:
        path.unlink()
    other = root / TAXA / "hydnum-repandum.yaml"
    other.write_text(other.read_text("utf-8").replace("region: GB", "region: NO"), "utf-8")
    return root


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(data=spoilt())
def test_no_bytes_stop_a_check(data, folder):
    (folder / TAXA / "galerina-marginata.yaml").write_bytes(data)
    checked = run.check(folder)
    assert any(
        each.at.file.endswith("hydnum-repandum.yaml") and each.code == "file.yaml-trap" for each in checked.findings
    )
    assert not [each for each in checked.findings if each.code == CRASHED]
