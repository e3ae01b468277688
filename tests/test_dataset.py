"""The real dataset is complete enough to compute on, and honest about what it rests on."""

from __future__ import annotations

from collections import Counter

import pytest

from sporeproof import run
from sporeproof.confusion.appearance import appearance_of
from sporeproof.findings import Level
from sporeproof.records.entry import Entry
from tests.conftest import ROOT

# Species that some rule, check or worked pair of the trade speaks of.
SETTLED = (
    "Kuehneromyces mutabilis", "Galerina marginata", "Laccaria amethystina", "Inocybe lilacina", "Hydnum repandum",
    "Lycoperdon perlatum", "Apioperdon pyriforme", "Scleroderma citrinum", "Mucidula mucida", "Mycena pura",
    "Auricularia auricula-judae", "Agaricus campestris", "Agaricus xanthodermus", "Amanita phalloides", "Mycena rosea",
    "Armillaria mellea", "Hypholoma fasciculare", "Calvatia gigantea", "Amanita virosa", "Desarmillaria tabescens",
    "Cantharellus cibarius", "Omphalotus olearius", "Omphalotus illudens", "Hygrophoropsis aurantiaca",
    "Cortinarius rubellus", "Craterellus tubaeformis", "Marasmius oreades", "Collybia rivulosa", "Coprinus comatus",
    "Coprinopsis picacea", "Morchella esculenta", "Gyromitra esculenta", "Clitocybe nebularis", "Peziza varia",
    "Fomitopsis betulina", "Xylaria hypoxylon", "Clavulina coralloides", "Neobulgaria pura",
)  # fmt: skip
# The poisons that have killed in Europe: common practice, no source.
KILLERS = (
    "hepatotoxic-amatoxin", "nephrotoxic-delayed-orellanine", "nephrotoxic-early-ahda", "autonomic-muscarine",
    "gaba-gyromitrin", "myotoxic-delayed", "paxillus-immune",
)  # fmt: skip


def test_the_species_that_settle_the_catalogue_are_there(checklist):
    assert [name for name in SETTLED if checklist.find(name).one is None] == []


def test_it_holds_what_an_autumn_walk_meets(dataset, form):
    assert sum(entry.rank == "species" for entry in dataset.entries) >= 75
    assert sum(form.is_toxic(entry.verdict) for entry in dataset.entries) >= 30


@pytest.mark.parametrize("syndrome", KILLERS)
def test_every_poison_that_kills_has_an_entry_that_says_so(dataset, form, syndrome):
    assert [entry.name for entry in dataset.entries if syndrome in entry.syndromes and form.is_deadly(entry.verdict)]


def test_it_passes_with_no_error_and_warns_only_of_what_looks_alike():
    """Two things tell such a pair apart, and nobody wrote of it: one warning an entry, with all its names."""
    found = [each for each in run.check(ROOT).findings if each.level is not Level.NOTICE]
    assert {each.level for each in found} <= {Level.WARNING}
    assert {(each.code, each.message.partition(" like ")[0]) for each in found} <= {
        ("safety.unlisted-confusion", "Nobody lists what looks")
    }
    assert len({each.name for each in found}) == len(found)


def test_each_entry_is_deep_enough(dataset, form):
    """At least 25 characters, or 70 % of those that apply to such a fruitbody."""
    for entry in dataset.entries:
        look = appearance_of(entry, form)
        applying = [each for each in form.characters.values() if look.shown(each).status != "not-applicable"]
        recorded = len(entry.characters)
        assert recorded >= 25 or recorded >= 0.7 * len(applying), f"{entry.name}: {recorded} of {len(applying)}"


@pytest.mark.parametrize("character", ["spore-print", "spore-length", "spore-width"])
def test_every_gilled_species_has_its_spores(dataset, character):
    gilled = [entry for entry in dataset.entries if _has(entry, "hymenophore", "gills")]
    assert len(gilled) > 40
    assert [entry.name for entry in gilled if character not in entry.characters and entry.key not in ABROAD] == []


def test_every_character_is_used_by_two_species_at_least(dataset, form):
    uses = Counter(id for entry in dataset.entries for id in entry.characters)
    assert [id for id in form.characters if uses[id] < 2] == []


def test_every_confusion_is_told_in_words(dataset):
    for entry in dataset.entries:
        assert [each["with"] for each in entry.confusions if not each.get("note")] == [], entry.name


def _has(entry: Entry, character: str, state: str) -> bool:
    value = entry.characters.get(character)
    return value is not None and any(state in states for states in value.by_stage.values())


def test_nothing_is_called_reviewed_before_somebody_has_read_it(dataset):
    assert {entry.value["review"]["state"] for entry in dataset.entries} == {"unreviewed"}


def test_every_value_says_where_it_comes_from(dataset):
    for entry in dataset.entries:
        assert entry.sources("characters") or all(value.sources for value in entry.characters.values()), entry.name
        assert entry.sources("setting"), entry.name
        assert not entry.confusions or entry.sources("confusions") or all("source" in each for each in entry.confusions)


def test_every_toxic_entry_names_its_poisoning(dataset, form):
    assert [entry.name for entry in dataset.entries if form.is_toxic(entry.verdict) and not entry.syndromes] == []


@pytest.mark.parametrize("part", ["substrate", "season", "region"])
def test_every_entry_has_its_setting(dataset, part):
    assert [entry.name for entry in dataset.entries if part not in entry.value and entry.key not in ABROAD] == []


# Suspects from other regions, of which less is known to us; nothing is filled in by guessing.
ABROAD = {f"F01{number:02}" for number in range(2, 16)}


def test_no_two_protections_say_the_same(dataset):
    listed = [(each["instrument"], each["name_as_listed"]) for each in dataset.companions["protections"].value]
    assert len(listed) == len(set(listed))
