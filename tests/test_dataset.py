"""The real dataset is complete enough to compute on, and honest about what it rests on."""

from __future__ import annotations

import pytest

from sporeproof import run
from sporeproof.confusion.appearance import appearance_of
from sporeproof.findings import Level
from tests.conftest import ROOT

SETTLED = (
    "Kuehneromyces mutabilis", "Galerina marginata", "Laccaria amethystina", "Inocybe lilacina", "Hydnum repandum",
    "Lycoperdon perlatum", "Apioperdon pyriforme", "Scleroderma citrinum", "Mucidula mucida",
    "Auricularia auricula-judae", "Agaricus campestris", "Agaricus xanthodermus", "Amanita phalloides",
    "Armillaria mellea", "Hypholoma fasciculare",
)  # fmt: skip


def test_the_species_that_settle_the_catalogue_are_there(checklist):
    assert [name for name in SETTLED if checklist.find(name).one is None] == []


def test_it_passes_with_no_error_and_no_warning():
    assert [each for each in run.check(ROOT).findings if each.level is not Level.NOTICE] == []


def test_each_entry_is_deep_enough(dataset, form):
    """At least 20 characters, or 70 % of those that apply to such a fruitbody."""
    for entry in dataset.entries:
        look = appearance_of(entry, form)
        applying = [each for each in form.characters.values() if look.shown(each).status != "not-applicable"]
        recorded = len(entry.characters)
        assert recorded >= 20 or recorded >= 0.7 * len(applying), f"{entry.name}: {recorded} of {len(applying)}"


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
    assert [entry.name for entry in dataset.entries if part not in entry.value] == []


def test_no_two_protections_say_the_same(dataset):
    listed = [(each["instrument"], each["name_as_listed"]) for each in dataset.companions["protections"].value]
    assert len(listed) == len(set(listed))
