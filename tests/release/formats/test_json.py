"""The nested records: whole, valid by their own schema, and never a verdict without what it hangs on.

The judge is jsonschema (PyPI, MIT) by JSON Schema 2020-12.
"""

from __future__ import annotations

import json
from itertools import chain

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.formats.to_json import ALL, amiss, to_json
from sporeproof.release.nested import nested, retired
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition


@pytest.fixture(scope="module")
def files(real):
    return to_json(real)


@pytest.fixture(scope="module")
def together(files):
    return json.loads(files[ALL])


def test_every_record_is_valid_by_the_schema_beside_it(files, together):
    schema, whole = json.loads(files["json/taxon.schema.json"]), json.loads(files["json/taxa.schema.json"])
    Draft202012Validator.check_schema(schema)
    Draft202012Validator.check_schema(whole)
    beside = Registry().with_resource("taxon.schema.json", Resource.from_contents(schema))
    assert list(Draft202012Validator(whole, registry=beside).iter_errors(together)) == []
    judge = Draft202012Validator(schema)
    assert all(judge.is_valid(json.loads(data)) for path, data in files.items() if path.startswith("json/taxa/"))


@pytest.mark.parametrize("key", ["needs", "cautions", "confusions", "accept_only", "review_state", "grade"])
def test_the_schema_refuses_a_verdict_without_what_it_hangs_on(files, together, key):
    judge = Draft202012Validator(json.loads(files["json/taxon.schema.json"]))
    record = json.loads(json.dumps(together["taxa"][0]))
    del record["edibility"][key]
    assert not judge.is_valid(record)


def test_no_row_that_speaks_of_a_taxon_is_left_out(real, together):
    """Counted row by row against the tables, which the records do not share a line of code with."""
    taxa = together["taxa"]
    inside = [each["edibility"] for each in taxa]

    def counted(parts) -> int:
        return len(list(chain.from_iterable(parts)))

    rows = {name: frame.height for name, frame in real.frames.items()}
    assert len(taxa) == rows["taxa"]
    for name in ("names", "measurements", "settings", "seasons", "uses", "protections"):
        assert counted(each[name] for each in taxa) == rows[name], name
    assert counted(each["vernacular"] for each in taxa) == rows["vernaculars"]
    for name in ("needs", "cautions", "opinions", "syndromes"):
        table = {"syndromes": "taxa_syndromes"}.get(name, name)
        assert counted(each[name] for each in inside) == rows[table], name
    assert sum(len(each["states"]) for taxon in taxa for each in taxon["characters"]) == rows["characters"]
    accepted = [each for taxon in inside for each in taxon["accept_only"]]
    assert sum(len(each["states"] or []) for each in accepted) == rows["accept_only"]
    assert sum(each["states"] is None for each in accepted) == rows["accept_ranges"]
    told = [each for taxon in taxa for each in taxon["edibility"]["confusions"] if each["told_from"] == taxon["id"]]
    assert len(told) + counted(each["answered"] for each in inside) == rows["confusions"]
    levels = [each for taxon in taxa for each in taxon["proof"]]
    assert counted(each["items"] for each in levels) == rows["proofs"]
    assert counted(each["not_excluded"] for each in levels) == rows["unexcluded"]


def test_a_pair_stands_with_both_of_its_taxa(real, together):
    """Whoever looks up the one must learn of the other, wherever the pair was written."""
    listed = {(t["id"], c["with"]["id"]) for t in together["taxa"] for c in t["edibility"]["confusions"]}
    written = [each for each in real.rows["confusions"] if each["listed"] != "dismissed"]
    assert len(written) > 1000
    assert all((each["with_taxon_id"], each["taxon_id"]) in listed for each in written)


def test_the_gravest_confusion_comes_first(real, together):
    order = list(real.form.vocabularies["verdicts"])
    for each in together["taxa"]:
        verdicts = [order.index(other["with"]["verdict"]) for other in each["edibility"]["confusions"]]
        assert verdicts == sorted(verdicts)


def test_a_listed_confusion_stays_where_the_other_side_answered_it(form):
    """What one entry dismisses and the other lists is a confusion to both."""

    def change(e):
        e.entries["F9003"]["confusions"] = [{"with": "Fictum commune", "source": ["from-memory"]}]

    found = dict(nested(content_of(edition(form, change), form, WORDS)))["F9001"]["edibility"]
    assert "F9003" in [each["with"]["id"] for each in found["confusions"]]
    assert "F9003" in [each["with"]["id"] for each in found["answered"]]


def test_each_record_says_how_well_it_is_known_and_bears_the_note(together):
    for each in together["taxa"]:
        assert each["review"]["reviewed"] is False
        assert each["edibility"]["review_state"] == each["review"]["id"] == "unreviewed"
        assert each["safety_note"] == SAFETY_NOTE


def test_successors_come_with_the_most_cautious_first(form):
    def change(e):
        e.retire("F9005", consider=["F9001", "F9002"])

    found = retired(content_of(edition(form, change), form, WORDS))
    assert found["F9005"]["successors"] == ["F9002", "F9001"]
    assert found["F9005"]["merged"] is False


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda f: f.pop("json/taxa/F9002.json"), "json/taxa/F9002.json is missing"),
        (lambda f: f.update({"json/taxa/F9002.json": f["json/taxa/F9001.json"]}), "says at /id `F9001`"),
        (
            lambda f: f.update({ALL: f[ALL].replace(b'"deadly","title":"Deadly"', b'"edible","title":"Edible"')}),
            "says at /taxa/1/edibility/verdict/id `edible` where the tables say `deadly`",
        ),
        (
            lambda f: f.update({ALL: f[ALL].replace(b'"separators":null', b'"separators":false')}),
            "/separators `False` where the tables say",
        ),
        (lambda f: f.update({ALL: f[ALL] + b"\n"}), "holds the same facts, written otherwise"),
        (lambda f: f.update({ALL: f[ALL][:-4]}), "cannot be read as JSON"),
        (lambda f: f.update({ALL: b"[" * 100_000}), "cannot be read as JSON"),
    ],
)
def test_what_was_changed_is_told(small, spoil, words):
    files = to_json(small)
    assert list(amiss(files, small)) == []
    spoil(files)
    (said,) = amiss(files, small)
    assert words in said
