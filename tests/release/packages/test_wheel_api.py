"""The Python package as programmers use it: every name leads somewhere, and no verdict comes without its rest.

What must be found and told is taken from the tables of the real dataset, which the package does not read.
"""

from __future__ import annotations

import copy
import pickle
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release import carried
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition
from tests.release.packages.installed import imported

HEAVY = ["dataclasses", "inspect", "importlib.resources", "importlib.metadata", "tempfile", "zipfile", "email",
         "socket", "asyncio", "urllib", "logging", "sporeproof", "polars", "yaml", "unittest"]  # fmt: skip


@pytest.fixture(scope="module")
def package(real, tmp_path_factory):
    return imported(real, tmp_path_factory.mktemp("real"))


def of(form, tmp_path, change, version="0.1.0"):
    return imported(content_of(edition(form, change), form, WORDS, version), tmp_path)


def test_every_scientific_name_is_found_with_and_without_its_authors(real, package):
    for row in real.rows["names"]:
        full = f"{row['name']} {row['authorship'] or ''}"
        for word in (row["name"], full, row["name"].upper(), f"  {full.lower().replace(' ', '   ')} "):
            roles = {each.id: each.found_as for each in package.find(word)}
            assert row["role"] in roles[row["taxon_id"]], word


def test_every_everyday_name_and_every_id_is_found(real, package):
    for row in real.rows["vernaculars"]:
        roles = {each.id: each.found_as for each in package.find(row["name"].swapcase())}
        assert "vernacular" in roles[row["taxon_id"]]
    for id in real.taxa:
        assert [each.id for each in package.find(f" {id.lower()} ")] == [id]


def test_a_name_that_many_share_leads_to_all_of_them_the_most_dangerous_first(form, tmp_path):
    def share(made):
        for id in ("F9001", "F9002", "F9003", "F9005"):
            made.entries[id]["vernacular"] = {"en": ["Brown Thing"]}

    found = of(form, tmp_path, share).find("brown thing")
    assert [(each.id, each.verdict.id) for each in found] == [
        ("F9002", "deadly"), ("F9003", "disputed"), ("F9001", "edible-with-conditions"), ("F9005", "edible"),
    ]  # fmt: skip


def test_a_misapplied_name_leads_to_both_and_says_which_is_which(form, tmp_path):
    def misapply(made):
        made.entries["F9001"]["former_names"] = [{"name": "Fictum letale", "kind": "misapplied", "authorship": "auct."}]

    found = of(form, tmp_path, misapply).find("Fictum letale")
    assert [(each.id, each.found_as) for each in found] == [("F9002", ("current",)), ("F9001", ("misapplied",))]


def test_a_name_that_is_two_things_to_one_taxon_is_told_as_both(form, tmp_path):
    def both(made):
        made.entries["F9001"]["vernacular"] = {"en": ["Fictum vulgare"]}

    (found,) = of(form, tmp_path, both).find("Fictum vulgare")
    assert found.found_as == ("former", "vernacular")


@pytest.mark.parametrize("word", ["", " ", "Fictum", "Fictum commun", "Fictum commune Else", "F9999", "*", "../index"])
def test_what_is_not_recorded_is_no_clearance(invented, word):
    with pytest.raises(invented.NotRecorded, match="no clearance"):
        invented.find(word)
    with pytest.raises(invented.NotRecorded, match="no clearance"):
        invented.taxon(word)


def test_an_id_that_has_ended_leads_to_its_successors(form, tmp_path):
    package = of(form, tmp_path, lambda made: made.retire("F9004", consider=["F9005", "F9001", "F9002"]))
    for word in ("F9004", "f9004", "Fictum vetus"):
        found = package.find(word)
        assert [each.id for each in found] == ["F9002", "F9001", "F9005"]
        assert {each.found_as for each in found} == {("retired",)}
    with pytest.raises(package.NotRecorded, match=r"find\('F9004'\)"):
        package.taxon("F9004")
    with pytest.raises(package.NotRecorded, match="has ended"):
        package.confusions("F9004")


def test_what_was_withdrawn_and_leads_nowhere_says_so(form, tmp_path):
    package = of(form, tmp_path, lambda made: made.retire("F9004", because="Nobody knows what it was"))
    for word in ("F9004", "fictum vetus"):
        with pytest.raises(package.NotRecorded, match=r"Fictum vetus \(F9004\) ended .*: Nobody knows.* no clearance"):
            package.find(word)


def edible(real):
    return [id for id, row in real.taxa.items() if real.form.is_edible(row["verdict"])]


def told_of(real, id):
    """Yield what must be told beside a verdict, read from the tables."""
    for table in ("needs", "cautions"):
        for row in real.of(table, id):
            term = real.terms[table, row["id"]]
            yield from (term["title"], term["definition"])
    for row in real.rows["confusions"]:
        if id in (row["taxon_id"], row["with_taxon_id"]) and row["listed"] != "dismissed":
            other = row["with_taxon_id"] if row["taxon_id"] == id else row["taxon_id"]
            yield f"{real.taxa[other]['name']} ({other}), {real.taxa[other]['verdict']}"
    yield from (row["state"] for row in real.of("accept_only", id))
    yield from (f"{row['low']:g} to {row['high']:g}" for row in real.of("accept_ranges", id))
    yield real.terms["review-states", real.taxa[id]["review_state"]]["title"].upper()
    yield SAFETY_NOTE


def test_an_edible_verdict_always_tells_its_needs_cautions_and_confusions(real, package):
    assert len(edible(real)) > 30
    for id in edible(real):
        verdict = package.taxon(id).verdict
        wanted = list(told_of(real, id))
        shown = [str(verdict), repr(verdict), f"{verdict}", "%s" % verdict, repr([verdict])]  # noqa: UP031
        for text in (*shown, str(package.taxon(id)), str(package.proof(id))):
            assert [each for each in wanted if each not in text] == [], id


def test_the_parts_of_a_verdict_are_those_of_the_tables(real, package):
    for id, row in real.taxa.items():
        verdict = package.taxon(id).verdict
        assert (verdict.id, verdict.severity, verdict.review_state) == (
            row["verdict"],
            row["severity"],
            row["review_state"],
        )
        assert verdict.evidence.id == row["evidence"]
        assert (verdict.grade.id if verdict.grade else None, verdict.grade_reason) == (
            row["grade"],
            row["grade_reason"],
        )
        for table, parts in (("needs", verdict.needs), ("cautions", verdict.cautions)):
            assert [each.id for each in parts] == [each["id"] for each in real.of(table, id)]
        assert {(each.source_id, each.verdict) for each in verdict.opinions} == {
            (each["source_id"], each["verdict"]) for each in real.of("opinions", id)
        }
        assert [each.term.id for each in verdict.syndromes] == [
            each["syndrome_id"] for each in real.of("taxa_syndromes", id)
        ]
        accepted = {(each.character_id, state) for each in verdict.accept_only for state in each.states or ()}
        assert accepted == {(each["character_id"], each["state"]) for each in real.of("accept_only", id)}


def test_confusions_come_from_both_sides_the_most_dangerous_first(real, package):
    pairs = {(row["taxon_id"], row["with_taxon_id"]) for row in real.rows["confusions"] if row["listed"] != "dismissed"}
    order = list(real.form.vocabularies["verdicts"])
    for taxon in package.taxa():
        found = package.confusions(taxon)
        assert {each.id for each in found} == {b for a, b in pairs if a == taxon.id} | {
            a for a, b in pairs if b == taxon.id
        }
        places = [order.index(each.verdict.id) for each in found]
        assert places == sorted(places)
        assert [each.id for each in package.confusions(taxon.id)] == [each.id for each in found]


def test_an_other_taxon_that_is_edible_is_never_told_so_without_saying_where_its_conditions_are(real, package):
    seen = 0
    for taxon in package.taxa():
        for each in (*taxon.verdict.confusions, *taxon.verdict.answered):
            if real.form.is_edible(real.taxa[each.id]["verdict"]):
                assert f"only as taxon({each.id!r}) says" in str(each)
                seen += 1
    assert seen


@pytest.mark.parametrize(
    "ask",
    [
        bool,
        lambda verdict: not verdict,
        lambda verdict: "yes" if verdict else "no",
        lambda verdict: verdict == "edible",
        lambda verdict: verdict != "deadly",
        lambda verdict: "edible" == verdict,  # noqa: SIM300
        lambda verdict: verdict in ("edible", "inedible"),
        lambda verdict: verdict in {"edible"},
        {"edible": 1}.get,
        lambda verdict: verdict < "edible",
        lambda verdict: verdict.startswith("edible"),
        lambda verdict: "edible" in verdict,
        lambda verdict: f"{verdict:.6}",
        lambda verdict: f"{verdict:>80}",
        hash,
    ],
)
def test_a_verdict_is_no_yes_or_no_and_no_word(invented, ask):
    for id in ("F9002", "F9005"):
        with pytest.raises((TypeError, AttributeError)):
            ask(invented.taxon(id).verdict)


def test_the_refusal_says_what_to_do_instead(invented):
    with pytest.raises(TypeError, match=r"compare verdict\.id .* needs, cautions and confusions"):
        invented.taxon("F9005").verdict == "edible"  # noqa: B015
    with pytest.raises(TypeError, match="no yes or no"):
        bool(invented.taxon("F9005").verdict)


def test_no_part_of_it_can_be_set(invented):
    verdict = invented.taxon("F9002").verdict
    for name in ("id", "needs", "confusions", "is_edible"):
        with pytest.raises(AttributeError):
            setattr(verdict, name, "edible")
    taxon = invented.taxon("F9002")
    taxon.record()["edibility"]["verdict"]["id"] = "edible"
    invented.provenance()["counts"].clear()
    invented.sources().clear()
    assert invented.taxon("F9002").verdict.id == "deadly"
    assert invented.provenance()["counts"]["taxa"] == 5
    assert invented.sources()


def test_verdicts_and_taxa_can_be_copied_and_compared_with_their_like(invented):
    one, other = invented.taxon("F9002"), invented.taxon("F9005")
    assert one == invented.find("Fictum letale")[0]
    assert one != other
    assert len({one, invented.taxon("F9002"), other}) == 2
    assert one.verdict == pickle.loads(pickle.dumps(one.verdict)) == copy.deepcopy(one.verdict)  # noqa: S301
    assert one.verdict != other.verdict
    assert one.verdict is not None
    assert one.verdict != None  # noqa: E711


def reviewed(made):
    made.entries["F9001"]["review"] = {"state": "reviewed", "by": "AB", "on": "2026-11-25", "of": "3f2a9c"}
    for id in ("F9001", "F9002"):
        made.entries[id]["vernacular"] = {"en": ["Brown Thing"]}


def test_only_reviewed_taxa_are_given_where_wanted_and_their_unreviewed_confusions_stay(form, tmp_path):
    package = of(form, tmp_path, reviewed)
    assert [each.id for each in package.taxa(reviewed_only=True)] == ["F9001"]
    (found,) = package.find("Fictum commune", reviewed_only=True)
    assert found.review.reviewed
    assert [(each.id, each.review_state) for each in found.confusions] == [("F9002", "unreviewed")]


def test_an_unreviewed_danger_is_not_filtered_out_of_what_a_name_may_mean(form, tmp_path):
    package = of(form, tmp_path, reviewed)
    with pytest.raises(package.NotReviewed, match=r"Fictum letale \(F9002\)"):
        package.find("Brown Thing", reviewed_only=True)
    assert issubclass(package.NotReviewed, package.NotRecorded)
    assert len(package.find("Brown Thing")) == 2


def test_every_unreviewed_taxon_says_so(real, package):
    for taxon in package.taxa():
        if not taxon.review.reviewed:
            assert "UNREVIEWED" in str(taxon)
            assert "unreviewed" in repr(taxon)


def test_a_proof_shows_what_it_does_not_exclude(real, package):
    seen = 0
    for id in edible(real):
        proof = package.proof(id)
        for level in proof.levels:
            left = [each for each in real.of("unexcluded", id) if each["level"] == level.level.id]
            assert {each.id for each in level.not_excluded} == {each["with_taxon_id"] for each in left}
            assert [each.character_id for each in level.items] == [
                each["character_id"] for each in real.of("proofs", id) if each["level"] == level.level.id
            ]
            for text in (str(level), str(proof), f"{proof}", repr(proof)):
                for each in left:
                    assert f"{real.taxa[each['with_taxon_id']]['name']} ({each['with_taxon_id']})" in text
            assert ("NOT EXCLUDED" in str(level)) == bool(left)
            seen += len(left)
    assert seen


def test_where_there_is_no_proof_nothing_lets_anybody_accept_it(real, package, invented):
    for id in set(real.taxa) - {row["taxon_id"] for table in ("proofs", "unexcluded") for row in real.rows[table]}:
        with pytest.raises(package.NoProof, match="nothing recorded here lets anybody accept it"):
            package.proof(id)
    with pytest.raises(LookupError):
        invented.taxon("F9005").proof.levels  # noqa: B018
    assert "nothing recorded lets anybody accept it" in str(invented.taxon("F9005").verdict)


def test_a_proof_is_no_yes_or_no(real, package):
    proof = package.proof(edible(real)[0])
    with pytest.raises(TypeError, match="accepts nothing"):
        bool(proof)
    with pytest.raises(TypeError):
        f"{proof:.10}"


@given(st.text())
def test_names_are_spelled_as_the_index_spells_them(invented, name):
    assert sys.modules[f"{invented.__name__}._lookup"].spelled(name) == carried.spelled(name)


def test_the_version_its_note_and_its_licence(real, package):
    assert (package.__version__, package.SAFETY_NOTE) == (real.version, SAFETY_NOTE)
    assert real.words["licence"]["name"] == package.LICENCE
    assert package.provenance() == real.provenance
    assert package.characters().keys() == real.catalogue.keys()
    assert package.sources().keys() == {row["source_id"] for row in real.rows["sources"]}
    with pytest.raises(AttributeError):
        package.is_edible  # noqa: B018


def test_all_that_is_public_is_there_and_documented(package):
    assert sorted(package.__all__) == sorted(set(package.__all__))
    for name in package.__all__:
        found = getattr(package, name)
        assert isinstance(found, str) or (found.__doc__ and not found.__doc__.startswith(f"{name}(")), name


def test_the_other_facts_of_a_taxon_are_those_of_the_tables(real, package):
    for taxon in package.taxa():
        for table, found in (("measurements", taxon.measurements), ("settings", taxon.settings), ("uses", taxon.uses),
                             ("seasons", taxon.seasons), ("protections", taxon.protections), ("names", taxon.names),
                             ("vernaculars", taxon.vernacular)):  # fmt: skip
            assert len(found) == len(real.of(table, taxon.id))
        states = {(each.character_id, each.stage, state) for each in taxon.characters for state in each.states}
        rows = real.of("characters", taxon.id)
        assert states == {(each["character_id"], each["stage"], each["state"]) for each in rows}
        for law in real.of("protections", taxon.id):
            assert law["instrument"] in str(taxon)


def test_many_threads_see_the_same(small, tmp_path):
    package = imported(small, tmp_path)
    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(lambda _: str(package.find("Fictum commune")[0]), range(64)))
    assert len(set(found)) == 1


def test_an_import_and_a_lookup_pull_in_little(package, real):
    folder = package.__path__[0]
    program = (
        "import sys; before = set(sys.modules); "
        f"sys.path.insert(0, {folder.rpartition('/')[0]!r}); import {package.__name__} as found; "
        f"str(found.find({next(iter(real.taxa.values()))['name']!r})[0]); print(*sorted(set(sys.modules) - before))"
    )
    done = subprocess.run([sys.executable, "-I", "-S", "-c", program], capture_output=True, text=True, check=True)
    assert set(HEAVY).isdisjoint(done.stdout.split())
    assert "json" in done.stdout.split()
