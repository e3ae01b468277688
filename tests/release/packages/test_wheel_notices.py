"""What the Python package tells of versions before it: all that got stricter since one, or a plain refusal."""

from __future__ import annotations

import pytest

from tests.release.packages.installed import changed, imported

COLUMNS = ["notice_id", "version", "kind", "taxon_id", "name", "with_taxon_id", "with_name", "table", "column", "old",
           "new", "source_ids", "reason", "text"]  # fmt: skip


def notice(version, **cells):
    row = dict.fromkeys(COLUMNS) | {"version": version, "kind": "stricter", "table": "taxa", "text": "It is stricter"}
    return row | {"notice_id": f"{version}/taxa/F9001/verdict", "taxon_id": "F9001", "name": "Fictum commune"} | cells


def with_notices(small, tmp_path, *rows, version="1.10.0", complete=None):
    def index(found):
        found["version"] = version
        if complete:
            found["provenance"]["notices"] = {"complete_since": complete}

    def spoil(records):
        changed("notices.json", lambda found: found.extend(rows))(records)
        changed("index.json", index)(records)

    return imported(small, tmp_path, spoil)


def test_notices_are_those_of_later_versions_by_their_numbers(small, tmp_path):
    """Semantic Versioning 2.0.0, item 11: numbers are compared as numbers, from left to right."""
    rows = [notice(each) for each in ("1.10.0", "1.9.0", "1.2.0", "0.10.1", "1.9.1")]
    package = with_notices(small, tmp_path, *rows)
    assert [each.version for each in package.notices("1.9.0")] == ["1.9.1", "1.10.0"]
    assert [each.version for each in package.notices("0.9.9")] == ["0.10.1", "1.2.0", "1.9.0", "1.9.1", "1.10.0"]
    assert package.notices("1.10.0") == ()
    (last,) = package.notices("1.9.1")
    assert str(last) == "1.10.0: Fictum commune (F9001): It is stricter"


def test_the_cells_of_a_notice_are_kept(small, tmp_path):
    row = notice("1.1.0", source_ids="one|two", column="verdict", old="edible", new="deadly", with_taxon_id="F9002")
    (found,) = with_notices(small, tmp_path, row).notices("1.0.0")
    assert found.source_ids == ("one", "two")
    assert (found.column, found.old, found.new, found.with_taxon_id) == ("verdict", "edible", "deadly", "F9002")
    (without,) = with_notices(small, tmp_path, notice("1.1.0")).notices("1.0.0")
    assert without.source_ids == ()


@pytest.mark.parametrize(
    "since", ["", "1", "1.0", "1.0.0-rc.1", "1.0.0+build", "v1.0.0", "01.0.0", "1.0.0 ", "1.0.0\n", "latest", "١.٠.٠"]
)
def test_what_is_no_version_of_the_data_is_refused(invented, since):
    with pytest.raises(ValueError, match="no version of the data"):
        invented.notices(since)


def test_a_version_that_is_newer_than_the_package_is_refused(invented):
    with pytest.raises(ValueError, match=r"newer than this version, 0\.1\.0"):
        invented.notices("0.1.1")


def test_notices_that_are_not_known_are_not_passed_over(small, tmp_path):
    package = with_notices(small, tmp_path, notice("1.5.0"), notice("1.9.0"), complete="1.4.0")
    with pytest.raises(package.NoticesIncomplete, match=r"between 1\.3\.9 and 1\.4\.0 is not known"):
        package.notices("1.3.9")
    assert len(package.notices("1.3.9", partial=True)) == 2
    assert len(package.notices("1.4.0")) == 2
