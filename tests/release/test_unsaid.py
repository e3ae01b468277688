"""A proof is refused where it is silent of a suspect that falls short in the field."""

from __future__ import annotations

import polars as pl
import pytest

from sporeproof.release.unsaid import unsaid


def made(unexcluded, required=2, separators=1):
    """Frames of an edible taxon with a list of proof, and one suspect."""
    confusions = {"taxon_id": ["F9001"], "with_taxon_id": ["F9002"], "required": [required], "separators": [separators]}
    return {
        "taxa": pl.DataFrame({"taxon_id": ["F9001", "F9002"], "name": ["Fictum edule", "Fictum letale"]}),
        "proofs": pl.DataFrame({"taxon_id": ["F9001"]}),
        "confusions": pl.DataFrame(confusions),
        "unexcluded": pl.DataFrame(
            unexcluded, schema=["taxon_id", "level", "with_taxon_id"], orient="row", strict=False
        ),
    }


def test_silence_is_refused_by_name(form):
    (reason,) = unsaid(made([("F9001", "lab", "F9002")]), form)
    assert "Fictum edule" in reason
    assert "Fictum letale" in reason


@pytest.mark.parametrize(
    "frames",
    [made([("F9001", "field", "F9002")]), made([("F9009", "field", "F9009")], separators=2),
     made([("F9009", "field", "F9009")], required=None)],
    ids=["told", "enough", "no suspect"],
)  # fmt: skip
def test_what_is_told_or_needs_no_telling_is_published(form, frames):
    assert list(unsaid(frames, form)) == []
