"""What a match means for us: one row a case, with why. All names, authors and keys with `Fictum` are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sporeproof.names.matching.asked import Given, asked_all
from sporeproof.names.matching.usage import Match, Taxon, Usage
from sporeproof.names.verdict import judged

FUNGI, PLANTS = (Taxon("F", "Fungi", "KINGDOM"),), (Taxon("P", "Plantae", "KINGDOM"),)
NAME = "Fictum commune"
HERE = Usage("C1", NAME, "Nemo", "SPECIES", "ACCEPTED")
NEW = Usage("N1", "Novum commune", "Alius", "SPECIES", "ACCEPTED")
OLD = replace(HERE, status="SYNONYM")


def exact(usage: Usage = HERE, accepted: Usage | None = None, *others: Match, place=FUNGI, kind: str = "EXACT"):
    return Match(kind, 99, usage, accepted, place, others)


def asked(name: str = NAME, authorship: str = "", rank: str = "", kingdom: str = "Fungi"):
    return asked_all([Given(name, authorship, rank, {"kingdom": kingdom})])[0]


def outcome(match: Match, *given_: str, **more: str) -> str:
    return judged(asked(*given_, **more), match).outcome


ACCEPTED = exact()
SYNONYM = exact(OLD, NEW)
RIVAL = exact(replace(HERE, key="C2", authorship="Alius"))
PLANT = exact(replace(HERE, key="C3", authorship="Alius"), place=PLANTS)

CASES = [
    ("an accepted name is current", (NAME,), ACCEPTED, "current"),
    ("with its own author too", (NAME, "Nemo"), ACCEPTED, "current"),
    ("another author may mean another fungus", (NAME, "Verum"), ACCEPTED, "doubtful"),
    ("a synonym leads to its accepted name", (NAME,), SYNONYM, "renamed"),
    ("cf. is no identification", ("Fictum cf. commune",), ACCEPTED, "doubtful"),
    ("aff. is no identification", ("Fictum aff. commune",), ACCEPTED, "doubtful"),
    ("a question mark is a doubt", ("Fictum commune?",), ACCEPTED, "doubtful"),
    ("s.l. takes in more than the name", ("Fictum commune s.l.",), SYNONYM, "doubtful"),
    ("auct. is another's use of the name", ("Fictum commune auct.",), SYNONYM, "doubtful"),
    ("p.p. is a part of it only", ("Fictum commune p.p.",), SYNONYM, "doubtful"),
    ("sp. names no species", ("Fictum sp.",), ACCEPTED, "higher-only"),
    ("a group of species is none of them", ("Fictum commune agg.",), ACCEPTED, "doubtful"),
    ("a slash names two", ("Fictum commune/album",), ACCEPTED, "doubtful"),
    ("a hybrid formula names two", ("Fictum commune × Fictum album",), ACCEPTED, "doubtful"),
    ("a bare genus is no species", ("Fictum",), exact(replace(HERE, canonical="Fictum", rank="GENUS")), "higher-only"),
    ("a species is no variety", (NAME, "", "variety"), ACCEPTED, "doubtful"),
    ("a genus is no species", (NAME, "", "species"), exact(replace(HERE, rank="GENUS")), "higher-only"),
    ("a provisional name is not settled", (NAME,), exact(replace(HERE, status="PROVISIONALLY_ACCEPTED")), "doubtful"),
    ("a misapplied name is not settled", (NAME,), exact(replace(HERE, status="MISAPPLIED"), NEW), "doubtful"),
    ("nor is a name without a taxon", (NAME,), exact(replace(HERE, status="BARE_NAME")), "doubtful"),
    ("a status that is not told settles nothing", (NAME,), exact(replace(HERE, status="")), "doubtful"),
    ("an unknown status settles nothing", (NAME,), exact(replace(HERE, status="NEW_WORD")), "doubtful"),
    ("pro parte leads to several", (NAME,), exact(replace(HERE, status="AMBIGUOUS_SYNONYM"), NEW), "split"),
    ("a synonym of a synonym leads nowhere", (NAME,), exact(OLD, replace(NEW, status="SYNONYM")), "doubtful"),
    ("a synonym of a provisional name is not settled", (NAME,),
     exact(OLD, replace(NEW, status="PROVISIONALLY_ACCEPTED")), "doubtful"),
    ("a synonym without its accepted name leads nowhere", (NAME,), exact(OLD), "doubtful"),
    ("a synonym of a genus is no species", (NAME,),
     exact(OLD, replace(NEW, canonical="Novum", rank="GENUS")), "higher-only"),
    ("two usages of one spelling", (NAME,), exact(HERE, None, RIVAL), "homonym"),
    ("the author decides between them", (NAME, "Nemo"), exact(HERE, None, RIVAL), "current"),
    ("the kingdom decides between them", (NAME,), exact(HERE, None, PLANT), "current"),
    ("a variant is a suggestion", (NAME,), exact(kind="VARIANT"), "respelled"),
    ("a variant of a synonym too", (NAME,), exact(OLD, NEW, kind="VARIANT"), "respelled"),
    ("exact in word only is a variant", ("Fictum communis",), ACCEPTED, "respelled"),
    ("something higher is no match", (NAME,), exact(kind="HIGHERRANK"), "higher-only"),
    ("a tie that falls to what both are in", (NAME,),
     replace(exact(Usage("F", "Fungi", "", "KINGDOM", "ACCEPTED"), None, ACCEPTED, RIVAL), match_type="HIGHERRANK"),
     "homonym"),
    ("of which one is in another kingdom", (NAME,),
     replace(exact(Usage("F", "Fungi", "", "KINGDOM", "ACCEPTED"), None, ACCEPTED, PLANT), match_type="HIGHERRANK"),
     "higher-only"),
    ("another kingdom is another being", (NAME,), exact(place=PLANTS), "unknown"),
    ("a kingdom that is not told is a doubt", (NAME,), exact(place=()), "doubtful"),
    ("a match type that is not known is a doubt", (NAME,), exact(kind="AMBIGUOUS"), "doubtful"),
    ("nothing is nothing", (NAME,), Match(confidence=100), "unknown"),
    ("several that weigh the same", (NAME,), Match(flags=("MULTIPLE_MATCHES_SAME_CONFIDENCE",)), "homonym"),
]  # fmt: skip


@pytest.mark.parametrize(("given_", "match", "expected"), [each[1:] for each in CASES], ids=[each[0] for each in CASES])
def test_what_a_match_means(given_, match, expected):
    assert outcome(match, *given_) == expected


MATCHES = [each[2] for each in CASES]
MARKED = ["Fictum {}commune", "Fictum commune {}"]
MARKS = ["cf. ", "aff. ", "? ", "s.l. ", "auct. ", "p.p. ", "agg. ", "sensu lato ", "/ "]


@given(st.sampled_from(MARKED), st.sampled_from(MARKS), st.sampled_from(MATCHES))
def test_no_name_with_a_mark_is_settled(form, mark, match):
    assert outcome(match, form.format(mark).strip()) not in {"current", "renamed", "respelled"}


@given(st.sampled_from(CASES), st.none() | st.integers(0, 100))
def test_confidence_changes_no_outcome(case, sure):
    _, given_, match, expected = case
    assert outcome(replace(match, confidence=sure), *given_) == expected


@given(st.sampled_from(MATCHES), st.sampled_from(["SPECIES", "GENUS", "VARIETY", "", "UNRANKED"]), st.text(max_size=12))
def test_a_variant_or_something_higher_is_never_settled(match, rank, status):
    for kind in ("VARIANT", "HIGHERRANK", "NONE"):
        usage = match.usage and replace(match.usage, rank=rank, status=status)
        assert outcome(replace(match, match_type=kind, usage=usage)) not in {"current", "renamed", "split"}
