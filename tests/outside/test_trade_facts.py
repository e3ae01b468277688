"""What those who teach the trade say of some fungi, and the entries must hold.

Source of every line: common practice, no source.
"""

from __future__ import annotations

import pytest

from sporeproof.form.catalogue import closure
from sporeproof.tables.build import months

# Species, character, stage and the states that the trade names: the entry holds at least one of them at that stage.
SHOWS = [
    ("Mucidula mucida", "cap-surface", "mature", {"slimy"}),
    ("Mucidula mucida", "cap-colour", "mature", {"white"}),
    ("Mucidula mucida", "gill-spacing", "mature", {"distant"}),
    ("Mucidula mucida", "ring", "mature", {"present"}),
    ("Clitocybe nebularis", "cap-margin", "young", {"inrolled"}),
    ("Clitocybe nebularis", "gill-spacing", "mature", {"crowded"}),
    ("Clitocybe nebularis", "gill-attachment", "mature", {"subdecurrent"}),
    ("Hydnum repandum", "hymenophore", "mature", {"spines"}),
    ("Laccaria amethystina", "gill-colour", "mature", {"violet"}),
    ("Laccaria amethystina", "short-gills", "mature", {"some", "many"}),
    ("Inocybe lilacina", "gill-colour", "mature", {"tan", "olive-brown"}),
    ("Armillaria mellea", "ring", "mature", {"present"}),
    ("Armillaria mellea", "gill-colour", "young", {"white", "cream"}),
    ("Armillaria mellea", "gill-colour", "mature", {"yellow"}),
    ("Armillaria mellea", "gill-attachment", "mature", {"subdecurrent"}),
    ("Hypholoma fasciculare", "gill-colour", "young", {"yellow"}),
    ("Hypholoma fasciculare", "gill-colour", "mature", {"greenish", "olive-brown"}),
    ("Hypholoma fasciculare", "fluorescence", "mature", {"yellow-green"}),
    ("Coprinopsis picacea", "gill-melting", "mature", {"melting"}),
    ("Coprinus comatus", "gill-melting", "mature", {"melting"}),
    ("Kuehneromyces mutabilis", "growth", "mature", {"dense-cluster"}),
    ("Kuehneromyces mutabilis", "stem-surface", "mature", {"scaly-below-ring"}),
    ("Kuehneromyces mutabilis", "cap-drying", "mature", {"centre-first"}),
    ("Apioperdon pyriforme", "growth", "mature", {"dense-cluster"}),
    ("Apioperdon pyriforme", "grows-from", "mature", {"visible-wood"}),
    ("Lycoperdon perlatum", "growth", "mature", {"single"}),
    ("Lycoperdon perlatum", "grows-from", "mature", {"ground"}),
    ("Lycoperdon perlatum", "ball-surface", "mature", {"spines", "warted"}),
    ("Scleroderma citrinum", "section", "mature", {"marbled-dark"}),
    ("Auricularia auricula-judae", "facing", "mature", {"down"}),
    ("Peziza varia", "facing", "mature", {"up"}),
    ("Fomitopsis betulina", "hymenophore", "mature", {"pores"}),
    ("Xylaria hypoxylon", "branch-colour", "mature", {"black"}),
    ("Xylaria hypoxylon", "tip-colour", "mature", {"white"}),
    ("Clavulina coralloides", "branch-colour", "mature", {"white", "cream"}),
]
VERDICTS = [
    ("Clitocybe nebularis", {"disputed"}),
    ("Hypholoma fasciculare", {"poisonous", "deadly"}),
    ("Coprinopsis picacea", {"poisonous", "deadly"}),
    ("Scleroderma citrinum", {"poisonous", "deadly"}),
    ("Peziza varia", {"poisonous", "deadly", "disputed", "unknown", "inedible"}),
    ("Neobulgaria pura", {"unknown"}),
    ("Armillaria mellea", {"edible-with-conditions"}),
    ("Mucidula mucida", {"edible-with-conditions"}),
]
NEEDS = [
    ("Mucidula mucida", "discard-stems"),
    ("Armillaria mellea", "cook-thoroughly"),
    ("Coprinus comatus", "young-only"),
    ("Apioperdon pyriforme", "young-only"),
    ("Apioperdon pyriforme", "cut-each-open"),
    ("Lycoperdon perlatum", "young-only"),
    ("Lycoperdon perlatum", "cut-each-open"),
]
HOSTS = [
    ("Mucidula mucida", {"Fagus"}),
    ("Hydnum repandum", {"Fagus", "Betula", "Pinus"}),
    ("Auricularia auricula-judae", {"Sambucus"}),
    ("Fomitopsis betulina", {"Betula"}),
]
FORMER = [("Apioperdon pyriforme", "Lycoperdon pyriforme"), ("Fomitopsis betulina", "Piptoporus betulinus")]
USES = [("Fomitopsis betulina", "tinder"), ("Fomitopsis betulina", "strop")]
# Pairs whose usual signs the trade knows to fail: hints at most.
HINTS = ("stem-surface", "cap-drying", "growth")
# What rubs off, so that its absence proves nothing: species, character, the state that goes.
WORN = [
    ("Hydnum repandum", "hymenophore", "spines"),
    ("Lycoperdon perlatum", "ball-surface", "spines"),
    ("Mucidula mucida", "ring", "present"),
]


@pytest.fixture
def entry(checklist):
    def find(name: str):
        found = checklist.find(name).one
        assert found, f"no entry bears the name {name}"
        return found

    return find


@pytest.mark.parametrize(("name", "character", "stage", "states"), SHOWS)
def test_it_shows_what_the_trade_says(entry, name, character, stage, states):
    by_stage = entry(name).characters[character].by_stage
    assert states & set(by_stage.get(stage) or by_stage.get("any", ()))


@pytest.mark.parametrize(("name", "verdicts"), VERDICTS)
def test_the_verdict_is_the_trades_or_stricter(entry, name, verdicts):
    assert entry(name).verdict in verdicts


@pytest.mark.parametrize(("name", "need"), NEEDS)
def test_it_needs_what_the_trade_says(entry, name, need):
    assert need in entry(name).edibility["needs"]


@pytest.mark.parametrize(("name", "hosts"), HOSTS)
def test_it_grows_with_what_the_trade_says(entry, name, hosts):
    assert hosts <= {host for some in entry(name).value["hosts"].values() for host in some}


@pytest.mark.parametrize(("name", "former"), FORMER)
def test_it_was_called_what_the_trade_says(entry, name, former):
    assert former in {each.name for each in entry(name).names()}


@pytest.mark.parametrize(("name", "use"), USES)
def test_it_is_used_as_the_trade_says(entry, name, use):
    assert use in entry(name).value["uses"]


@pytest.mark.parametrize(("name", "character", "state"), WORN)
def test_what_comes_off_is_not_missed(entry, form, name, character, state):
    held = entry(name).characters[character].by_stage
    assert any(state in states for states in held.values())
    assert closure(form.characters[character], frozenset({state})) - {state}


def test_the_usual_signs_of_kuehneromyces_are_hints_at_most(entry):
    pair = next(each for each in entry("Kuehneromyces mutabilis").confusions if each["with"] == "Galerina marginata")
    assert pair["told_apart_by"] == []
    assert set(HINTS) <= set(pair["hints"])


def test_puffballs_are_covered_only_while_white_and_firm(entry):
    for name in ("Apioperdon pyriforme", "Lycoperdon perlatum"):
        assert entry(name).edibility["accept_only"]["section"] == ["uniform-white"]
        assert "firm" in entry(name).characters["flesh-texture"].by_stage["young"]


def test_honey_fungus_upsets_some_people_and_kills_trees(entry):
    assert "upsets-some" in entry("Armillaria mellea").cautions
    assert "living-tree" in entry("Armillaria mellea").value["substrate"]


def test_the_clouded_funnel_lasts_into_winter(entry):
    assert 12 in months(entry("Clitocybe nebularis").value["season"])


def test_candlesnuff_stands_on_dead_wood_all_year(entry):
    assert "dead-wood" in entry("Xylaria hypoxylon").value["substrate"]
    assert len(months(entry("Xylaria hypoxylon").value["season"])) == 12


def test_what_many_call_inedible_says_so(entry):
    assert "inedible" in {each["verdict"] for each in entry("Fomitopsis betulina").opinions}


def test_some_eat_the_crested_coral(entry, form):
    assert any(form.is_edible(each["verdict"]) for each in entry("Clavulina coralloides").opinions)
