"""The proof list of an edible entry, what it does not exclude, and its grade (engine.md, 5 and 9)."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sporeproof.confusion.proof import proof, share
from sporeproof.records.entry import Entry
from tests.confusion import reference
from tests.confusion.taxa import look

GRADES = ["unproven", "specialist", "with-print", "practised", "beginner"]
LEVELS = ["field", "print", "lab"]


def taxon(name, verdict, characters, **edibility):
    value = {"name": name, "rank": "species", "characters": characters, "edibility": {"verdict": verdict, **edibility}}
    return Entry(f"dataset/taxa/{name.lower().replace(' ', '-')}.yaml", "", value)


def changed(entry, **blocks):
    return Entry(entry.file, entry.text, entry.value | blocks)


def ids(found, level="field"):
    return [each.character.id for each in listed(found, level).items]


def listed(found, level="field"):
    return next(each for each in found.lists if each.level == level)


def short(found, level="field"):
    return [(each.suspect.name, each.required, each.separators) for each in listed(found, level).does_not_exclude]


def ranks(found):
    return GRADES.index(found.grade)


CAP = {"body": "cap-and-stem", "volva": "none"}
TOUGH = CAP | {"hymenophore": "gills", "stem-texture": "fibrous", "gill-spacing": "distant", "spore-print": "white"}
FRAIL = CAP | {"hymenophore": "gills", "stem-texture": "chalky", "gill-spacing": "crowded"}
SPINED = TOUGH | {"hymenophore": "spines"}
EATEN = taxon("Fictum commune", "edible", TOUGH)
DEADLY = taxon("Dubium letale", "deadly", FRAIL | {"spore-print": "rusty-brown"})


# --- The list ---


def test_the_list_is_what_each_must_pass(form):
    found = proof(EATEN, [DEADLY], form, missing=[])
    assert ids(found) == ["gill-spacing", "stem-texture"]
    assert [each.states for each in listed(found).items] == [("distant",), ("fibrous",)]
    assert [each.rules_out for each in listed(found).items] == [1, 1]
    assert listed(found).items[1].character.read_when == ("fresh",)
    assert short(found) == []


def test_one_decisive_thing_is_enough_and_cheaper(form):
    found = proof(taxon("Fictum commune", "edible", SPINED), [DEADLY], form, missing=[])
    assert ids(found) == ["hymenophore"]
    assert found.grade == "beginner"


def test_what_the_entry_accepts_only_is_always_looked_at(form):
    entry = taxon(
        "Fictum commune", "edible", SPINED | {"ring": ["present", "absent"]}, accept_only={"ring": ["present"]}
    )
    assert ids(proof(entry, [DEADLY], form, missing=[])) == ["hymenophore", "ring"]


def test_the_stage_is_no_item(form):
    spined = SPINED | {"cap-surface": {"young": "smooth", "mature": "scaly"}}
    entry = taxon("Fictum commune", "edible", spined, accept_only={"stage": ["mature"], "cap-surface": ["scaly"]})
    found = proof(entry, [DEADLY], form, missing=[])
    assert ids(found) == ["hymenophore", "cap-surface"]


def test_an_accepted_range_is_an_item_with_that_range(form):
    entry = taxon("Fictum commune", "edible", SPINED | {"cap-width": [50, 250]}, accept_only={"cap-width": [150, 250]})
    (item,) = [each for each in listed(proof(entry, [DEADLY], form, missing=[])).items if each.range]
    assert (item.character.id, item.range, item.states) == ("cap-width", (150, 250), ())


def test_items_stand_in_the_order_of_handling_a_find(form, dataset):
    methods = list(form.vocabularies["methods"])
    for entry in edible(form, dataset)[:8]:
        for each in proof(entry, against(entry, form, dataset), form, missing=[]).lists:
            order = [(methods.index(item.character.seen_by), item.character.position) for item in each.items]
            assert order == sorted(order)


def test_an_unknown_proves_nothing(form):
    unknown = taxon("Dubium ignotum", "unknown", CAP)
    found = proof(EATEN, [unknown], form, missing=[])
    assert ids(found) == []
    assert short(found, "lab") == [("Dubium ignotum", 2, 0)]
    assert found.grade == "unproven"


def test_the_print_comes_on_top_of_the_field(form):
    thin = taxon("Dubium letale", "deadly", FRAIL | {"gill-spacing": "distant", "spore-print": "rusty-brown"})
    found = proof(EATEN, [thin], form, missing=[])
    assert ids(found) == ["stem-texture"]
    assert ids(found, "print") == ["stem-texture", "spore-print"]
    assert short(found) == [("Dubium letale", 2, 1)]
    assert short(found, "print") == []
    assert found.grade == "with-print"
    assert "Dubium letale" in found.reason


def test_a_print_alone_does_not_prove_a_tuft(form):
    same = TOUGH | {"spore-print": "rusty-brown"}
    assert proof(EATEN, [taxon("Dubium letale", "deadly", same)], form, missing=[]).grade == "unproven"
    mild = taxon("Dubium molestum", "poisonous", same, syndromes=["gastrointestinal"])
    assert proof(EATEN, [mild], form, missing=[]).grade == "with-print"


def test_the_microscope_makes_a_specialist(form):
    thin = FRAIL | {"gill-spacing": "distant", "spore-length": [10, 12]}
    entry = taxon("Fictum commune", "edible", TOUGH | {"spore-length": [4, 5]})
    found = proof(entry, [taxon("Dubium letale", "deadly", thin)], form, missing=[])
    assert (found.grade, ids(found, "lab")) == ("specialist", ["stem-texture", "spore-length"])


def test_what_is_not_excluded_stands_deadly_first(form):
    bare = [("Zeta", "deadly"), ("Alpha", "disputed"), ("Beta", "deadly"), ("Gamma", "poisonous")]
    found = proof(EATEN, [taxon(f"{name} ficta", verdict, CAP) for name, verdict in bare], form, missing=[])
    assert [name for name, *_ in short(found)] == ["Beta ficta", "Zeta ficta", "Gamma ficta", "Alpha ficta"]
    assert "Beta ficta, Zeta ficta, Gamma ficta and 1 more" in found.reason


# --- The grade ---


def test_what_must_be_compared_and_cannot_be_leaves_it_unproven(form):
    found = proof(taxon("Fictum commune", "edible", SPINED), [DEADLY], form, missing=["Dubium absens"])
    assert found.grade == "unproven"
    assert "Dubium absens" in found.reason


@pytest.mark.parametrize(
    ("edibility", "grade"),
    [
        ({"needs": ["cook-thoroughly"]}, "beginner"),
        ({"needs": ["cook-thoroughly", "peel-skin"]}, "practised"),
        ({"grade_at_most": {"is": "with-print", "because": "Mixed tufts occur"}}, "with-print"),
        ({"grade_at_most": {"is": "beginner", "because": "It cannot raise"}, "needs": ["peel-skin"]}, "practised"),
    ],
)
def test_needs_and_limits_lower_the_grade(form, edibility, grade):
    found = proof(taxon("Fictum commune", "edible", SPINED, **edibility), [DEADLY], form, missing=[])
    assert found.grade == grade
    assert ("Mixed tufts" in found.reason) == (grade == "with-print")


def test_a_limit_never_raises_what_is_unproven(form):
    limited = taxon("Fictum commune", "edible", TOUGH, grade_at_most={"is": "beginner", "because": "Wish"})
    assert proof(limited, [taxon("Dubium letale", "deadly", TOUGH)], form, missing=[]).grade == "unproven"


@pytest.mark.parametrize(
    ("edibility", "grade"),
    [
        ({"needs": ["cook-thorougly"]}, "practised"),
        ({"grade_at_most": {"is": "practized", "because": "Mixed tufts occur"}}, "unproven"),
        ({"grade_at_most": {"because": "Mixed tufts occur"}}, "unproven"),
    ],
)
def test_a_slip_in_a_word_lowers_the_grade_and_stops_nothing(form, edibility, grade):
    assert proof(taxon("Fictum commune", "edible", SPINED, **edibility), [DEADLY], form, missing=[]).grade == grade


def test_several_species_at_once_are_not_for_beginners(form):
    group = changed(taxon("Fictum commune", "edible", SPINED), rank="species-group")
    assert proof(group, [DEADLY], form, missing=[]).grade == "practised"


@pytest.mark.parametrize("verdict", ["deadly", "poisonous", "disputed"])
def test_a_dangerous_one_of_its_genus_is_not_for_beginners(form, verdict):
    kin = taxon("Fictum letale", verdict, DEADLY.value["characters"])
    found = proof(taxon("Fictum commune", "edible", SPINED), [kin], form, missing=[])
    assert (found.grade, "Fictum letale" in found.reason) == ("practised", True)


def test_whoever_forgets_the_only_must_still_have_a_barrier(form):
    spined = SPINED | {"hymenophore": ["spines", "gills"]}
    found = proof(taxon("Fictum commune", "edible", spined, accept_only={"hymenophore": ["spines"]}), [DEADLY], form,
                  missing=[])  # fmt: skip
    assert found.grade == "beginner"  # gills or spines, the spacing or the stem still holds
    soft = spined | {"stem-texture": "chalky", "gill-spacing": "crowded"}
    found = proof(taxon("Fictum commune", "edible", soft, accept_only={"hymenophore": ["spines"]}), [DEADLY], form,
                  missing=[])  # fmt: skip
    assert (found.grade, "Dubium letale" in found.reason) == ("practised", True)


@pytest.mark.parametrize(
    ("stem", "grade"), [("fibrous", "beginner"), ({"young": "fibrous", "mature": "fibrous"}, "beginner"),
                        ({"mature": "fibrous"}, "practised")],
)  # fmt: skip
def test_a_barrier_holds_for_young_and_mature_ones(form, stem, grade):
    mixed = SPINED | {"hymenophore": ["spines", "gills"], "gill-spacing": "crowded", "stem-texture": stem}
    entry = taxon("Fictum commune", "edible", mixed, accept_only={"hymenophore": ["spines"]})
    assert proof(entry, [DEADLY], form, missing=[]).grade == grade


def test_what_beginners_confuse_is_no_barrier(form):
    """Who forgets to accept the spined only takes ridges for its own, and gills are taken for ridges."""
    alike = FRAIL | {"hymenophore": ["spines", "ridges"]}
    entry = taxon("Fictum commune", "edible", alike, accept_only={"hymenophore": ["spines"]})
    assert proof(entry, [DEADLY], form, missing=[]).grade == "practised"


def test_size_and_colour_alone_are_not_for_beginners_where_it_is_deadly(form):
    pale = CAP | {"hymenophore": "gills", "cap-colour": "white", "gill-bruise": "none"}
    dark = CAP | {"hymenophore": "gills", "cap-colour": "orange", "gill-bruise": "black"}
    a = taxon("Fictum commune", "edible", pale)
    deadly = proof(a, [taxon("Dubium letale", "deadly", dark)], form, missing=[])
    harmful = proof(a, [taxon("Dubium malum", "poisonous", dark)], form, missing=[])
    assert ids(deadly) == ids(harmful)
    assert (deadly.grade, harmful.grade) == ("practised", "beginner")


def test_what_beginners_confuse_does_not_count_for_them(form):
    ridged = taxon("Fictum commune", "edible", CAP | {"hymenophore": "ridges", "stem-texture": "fibrous"})
    gilled = taxon("Dubium letale", "deadly", CAP | {"hymenophore": "gills", "stem-texture": "chalky"})
    found = proof(ridged, [gilled], form, missing=[])
    assert (found.grade, ids(found)) == ("practised", ["hymenophore", "stem-texture"])


def test_six_things_besides_the_decisive_are_too_many_for_beginners(form):
    more = {"cap-surface": ["smooth", "scaly"], "ring": ["present", "absent"], "cap-colour": ["white", "red"],
            "stem-colour": ["white", "red"], "flesh-colour": ["white", "red"],
            "stem-core": ["solid", "hollow"]}  # fmt: skip
    only = {id: [states[0]] for id, states in more.items()}
    for count, grade in ((5, "beginner"), (6, "practised")):
        some = dict(list(only.items())[:count])
        found = proof(taxon("Fictum commune", "edible", SPINED | more, accept_only=some), [DEADLY], form, missing=[])
        assert found.grade == grade


def test_the_beginners_list_may_be_dearer_than_the_cheapest(form):
    """Colours would do against what is deadly, but a beginner needs more than colours."""
    a = TOUGH | {"cap-colour": "white", "gill-bruise": "none"}
    b = FRAIL | {"gill-spacing": "distant", "cap-colour": "orange", "gill-bruise": "black"}
    found = proof(taxon("Fictum commune", "edible", a), [taxon("Dubium letale", "deadly", b)], form, missing=[])
    assert (found.grade, ids(found)) == ("beginner", ["cap-colour", "stem-texture"])


# --- The share ---


def items(form, characters, accept_only):
    only = {"body": ["cap-and-stem"]} | accept_only
    entry = taxon("Fictum commune", "edible", CAP | characters, accept_only=only)
    return look(form, CAP | characters, only), listed(proof(entry, [], form, missing=[])).items


@pytest.mark.parametrize(
    ("characters", "accept_only", "expected"),
    [
        ({"ring": ["present", "absent"]}, {"ring": ["present"]}, 1 / 2),
        ({"ring": ["present", "absent"], "stem-core": ["solid", "hollow", "stuffed"]},
         {"ring": ["present"], "stem-core": ["solid", "hollow"]}, 1 / 3),
        ({"cap-surface": {"young": ["smooth"], "mature": ["smooth", "scaly"]}}, {"cap-surface": ["smooth"]}, 3 / 4),
        ({"cap-surface": {"young": ["smooth"], "mature": ["scaly"]}}, {"stage": ["mature"], "cap-surface": ["scaly"]},
         1 / 2),
        ({"cap-width": [50, 250]}, {"cap-width": [150, 250]}, 1 / 2),
        ({"cap-width": [50, 250], "ring": ["present", "absent"]}, {"cap-width": [200, 250], "ring": ["absent"]}, 1 / 8),
        ({}, {}, 1),
    ],
)  # fmt: skip
def test_the_share_of_its_own_appearances(form, characters, accept_only, expected):
    assert share(*items(form, characters, accept_only)) == pytest.approx(expected)


# --- The whole of section 5, read a second time and tried list by list ---

COST = {
    "glance": 1,
    "close": 2,
    "cut": 3,
    "smell": 3,
    "spore-print": 6,
    "uv-lamp": 20,
    "reagent": 20,
    "microscope": 100,
}
FICKLE = {"size", "colour", "spore-colour", "bruising"}
POOL = ["body", "hymenophore", "ring", "stem-texture", "gill-spacing", "cap-colour", "gill-colour", "volva",
        "spore-print", "spore-ornament", "stem-width"]  # fmt: skip


def some_value(chance, form, id):
    if form.characters[id].is_measured:
        low = chance.choice([1, 5, 20, 60])
        return [low, low * 2]
    listed_ = {"body": ["cap-and-stem"] * 5 + ["bracket", "ball"], "hymenophore": ["gills"] * 4 + ["spines", "ridges"]}
    states = listed_.get(id) or list(form.characters[id].states)
    flat = [chance.choice(states) for _ in range(chance.choice([1, 1, 1, 2]))]
    flat = sorted(set(flat))
    if chance.random() < 0.1:
        return {"mature": flat}
    return {"young": flat, "mature": [chance.choice(flat)]} if chance.random() < 0.15 else flat


def some_characters(chance, form):
    return {id: some_value(chance, form, id) for id in POOL if chance.random() < 0.93}


def some_only(chance, form, characters):
    only = {}
    for id in POOL[:-3]:
        if id in characters and chance.random() < 0.15:
            value = characters[id]
            only[id] = [chance.choice(value["mature"] if isinstance(value, dict) else value)]
    if "stem-width" in characters and chance.random() < 0.3:
        low, high = characters["stem-width"]
        only["stem-width"] = [(low + high) / 2, high]
    return only | ({"stage": ["mature"]} if chance.random() < 0.2 else {})


def some_case(seed, form):
    chance = random.Random(seed)
    characters = some_characters(chance, form)
    a = taxon("Fictum commune", "edible", characters, accept_only=some_only(chance, form, characters))
    suspects = []
    for number in range(chance.randint(1, 4)):
        genus = "Fictum" if chance.random() < 0.05 else "Dubium"
        verdict = chance.choice(["deadly", "deadly", "poisonous", "unknown", "edible"])
        syndromes = chance.choice([[], ["gastrointestinal"]])
        own = some_characters(chance, form)
        suspects.append(taxon(f"{genus} n{number}", verdict, own, syndromes=syndromes))
    return a, suspects


class ByTheText:
    """Section 5 over the second reading of sections 1 and 2; every list is tried, the cheapest first."""

    def __init__(self, form, a, suspects):
        self.form, self.a, self.suspects = form, a, suspects
        self.only = {id for id in a.accept_only if id != "stage"}
        self.told = [self.contrasts(b, a.edibility["accept_only"]) for b in suspects]
        self.loose = [self.contrasts(b, {}) for b in suspects]
        self.required = [reference.required(b.verdict, b.syndromes, "") for b in suspects]

    def contrasts(self, b, only):
        """Give the contrasts with a suspect where only so much is accepted."""
        mine = {"characters": self.a.value["characters"], "accept_only": only}
        return reference.contrasts(self.form, mine, {"characters": b.value["characters"], "accept_only": {}})

    def count(self, index, chosen, level, needed):
        """Count what separates a suspect by some characters alone."""
        among = {id: each for id, each in self.told[index].items() if id in chosen}
        return reference.separators(self.form, among, level, needed)

    def lists(self, level, fixed):
        """Give every list at a level, the cheapest first."""
        free = [id for id in POOL if self.form.characters[id].seen_by in reference.LEVELS[level] and id not in fixed]
        every = [{*fixed, *more} for size in range(len(free) + 1) for more in combinations(free, size)]
        return sorted(every, key=self.price)

    def price(self, chosen):
        """Give the cost, then the positions."""
        characters = [self.form.characters[id] for id in chosen]
        cost = sum(COST[each.seen_by] for each in characters)
        return cost, sum(each.position for each in characters), sorted(each.position for each in characters)

    def attainable(self, index, level):
        """Count what separates a suspect by everything."""
        return self.count(index, set(POOL), level, self.required[index])

    def does(self, chosen, level):
        """Tell whether a list does all that can be done."""
        for index, needed in enumerate(self.required):
            if self.count(index, chosen, level, needed) < min(needed, self.attainable(index, level)):
                return False
        return True

    def suits_beginners(self, chosen):
        """Tell whether a beginner is safe with a list."""
        firm = [id for id in chosen if self.form.characters[id].proof != "decisive"]
        kin = any(b.name.startswith("Fictum ") and b.verdict in {"deadly", "poisonous"} for b in self.suspects)
        return not kin and len(firm) <= 5 and all(self.safe(index, chosen) for index in range(len(self.suspects)))

    def safe(self, index, chosen):
        """Tell whether a beginner is safe from one suspect."""
        plain = {id: each for id, each in self.told[index].items() if id in chosen and each[1] and not each[2]}
        steady = any(self.form.characters[id].witness not in FICKLE or each[1] == 2 for id, each in plain.items())
        deadly, needed = self.suspects[index].verdict == "deadly", self.required[index]
        barrier = any(self.loose[index][id][1] and not self.loose[index][id][2] and self.all_ages(id) for id in plain)
        twice = reference.separators(self.form, plain, "field", 2) >= 2
        return twice and (steady or not deadly) and (barrier or needed < 2)

    def all_ages(self, id):
        """Tell whether the entry speaks of young and mature ones."""
        value = self.a.value["characters"][id]
        return not isinstance(value, dict) or {"young", "mature"} <= value.keys()

    def field(self):
        """Give the field list, and whether it suits beginners."""
        lists = self.lists("field", self.only)
        for chosen in lists:
            if self.suits_beginners(chosen):
                return chosen, True
        return next(each for each in lists if self.does(each, "field")), False

    def grade(self, suits):
        """Give the first grade that holds."""
        for level, grade in zip(LEVELS, ("practised", "with-print", "specialist"), strict=True):
            if all(self.attainable(index, level) >= needed for index, needed in enumerate(self.required)):
                return "beginner" if suits and level == "field" else grade
        return "unproven"


@pytest.mark.parametrize("batch", range(6))
def test_list_and_grade_are_those_of_a_second_reading(form, batch):
    seen = set()
    for number in range(35):
        a, suspects = some_case(f"{batch} {number}", form)
        text = ByTheText(form, a, suspects)
        found = proof(a, suspects, form, missing=[])
        field, suits = text.field()
        assert set(ids(found)) == field, (a, suspects)
        for level in LEVELS[1:]:
            assert set(ids(found, level)) == next(each for each in text.lists(level, field) if text.does(each, level))
        assert found.grade == text.grade(suits)
        for level in LEVELS:
            missed = [(b.name, needed, text.count(index, set(ids(found, level)), level, needed))
                      for index, (b, needed) in enumerate(zip(suspects, text.required, strict=True))]  # fmt: skip
            assert sorted(short(found, level)) == sorted(each for each in missed if each[2] < each[1])
        seen.add(found.grade)
    assert len(seen) >= 3


# --- Laws (engine.md, 9) ---

SEEDS = st.integers(0, 10**6)
LAW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
FREE = ["stem-texture", "gill-spacing", "cap-colour", "gill-colour", "spore-print", "spore-ornament"]


@LAW
@given(seed=SEEDS, data=st.data())
def test_adding_a_state_to_a_suspect_never_raises_a_grade(form, seed, data):
    a, suspects = some_case(seed, form)
    id = data.draw(st.sampled_from(FREE))
    added = data.draw(st.sampled_from(list(form.characters[id].states)))
    known = suspects[0].value["characters"]
    if id in known:
        wider = {stage: [*states, added] for stage, states in staged(known[id]).items()}
        wider = wider.get("any", wider)
        suspects_then = [changed(suspects[0], characters=known | {id: wider}), *suspects[1:]]
        assert ranks(proof(a, suspects_then, form, missing=[])) <= ranks(proof(a, suspects, form, missing=[]))


def staged(value):
    return value if isinstance(value, dict) else {"any": value}


@LAW
@given(seed=SEEDS, data=st.data())
def test_deleting_the_young_of_a_suspect_never_raises_a_grade(form, seed, data):
    a, suspects = some_case(seed, form)
    known = suspects[0].value["characters"]
    id = data.draw(st.sampled_from(FREE))
    if id in known:
        young = {"young": next(iter(staged(known[id]).values())), "mature": list(staged(known[id]).values())[-1]}
        with_young = [changed(suspects[0], characters=known | {id: young}), *suspects[1:]]
        without = [changed(suspects[0], characters=known | {id: {"mature": young["mature"]}}), *suspects[1:]]
        assert ranks(proof(a, without, form, missing=[])) <= ranks(proof(a, with_young, form, missing=[]))


@LAW
@given(seed=SEEDS, more=SEEDS)
def test_one_more_dangerous_taxon_never_raises_a_grade(form, seed, more):
    a, suspects = some_case(seed, form)
    _, others = some_case(more, form)
    added = changed(others[0], name="Dubium additum")
    assert ranks(proof(a, [*suspects, added], form, missing=[])) <= ranks(proof(a, suspects, form, missing=[]))


@LAW
@given(seed=SEEDS, order=st.randoms(use_true_random=False))
def test_the_order_of_suspects_changes_nothing(form, seed, order):
    a, suspects = some_case(seed, form)
    shuffled = order.sample(suspects, len(suspects))
    one, other = proof(a, suspects, form, missing=[]), proof(a, shuffled, form, missing=[])
    assert (one.lists, one.grade, one.reason) == (other.lists, other.grade, other.reason)


@LAW
@given(seed=SEEDS, order=st.randoms(use_true_random=False))
def test_the_order_of_the_catalogue_changes_no_grade_and_no_cost(form, seed, order):
    a, suspects = some_case(seed, form)
    ids_ = order.sample(list(form.characters), len(form.characters))
    turned = {id: replace(form.characters[id], position=place) for place, id in enumerate(ids_, 1)}
    other_form = replace(form, characters=turned)
    one, other = proof(a, suspects, form, missing=[]), proof(a, suspects, other_form, missing=[])
    assert one.grade == other.grade
    assert [cost(each) for each in one.lists[:1]] == [cost(each) for each in other.lists[:1]]


def cost(one):
    return sum(COST[each.character.seen_by] for each in one.items)


# --- The real dataset ---


def edible(form, dataset):
    return [each for each in dataset.entries if form.is_edible(each.verdict)]


def against(a, form, dataset):
    return [each for each in dataset.entries if each is not a and not form.is_edible(each.verdict)
            and each.verdict != "inedible"]  # fmt: skip


def graded(form, dataset, checklist, name):
    entry = checklist.find(name).one
    return proof(entry, against(entry, form, dataset), form, missing=[])


def test_costs_are_those_of_the_specification(form):
    written = {id: term.more["cost"] for id, term in form.vocabularies["methods"].items() if "cost" in term.more}
    assert written == COST


def test_every_list_of_the_dataset_does_what_it_says(form, dataset):
    for entry in edible(form, dataset):
        found = proof(entry, against(entry, form, dataset), form, missing=[])
        field, *rest = (set(ids(found, level)) for level in LEVELS)
        assert {id for id in entry.accept_only if id != "stage"} <= field
        assert all(field <= each for each in rest)
        assert all(item.states or item.range for each in found.lists for item in each.items)
        assert all(0 < each.share <= 1 for each in found.lists)
        assert found.reason
        assert (found.grade == "unproven") == bool(short(found, "lab")) or "grade_at_most" in entry.edibility


def test_hydnum_is_proved_by_its_spines(form, dataset, checklist):
    """Source: common practice, no source (engine.md, 8)."""
    found = graded(form, dataset, checklist, "Hydnum repandum")
    assert found.grade == "beginner"
    assert set(ids(found)) <= {"hymenophore", "body"}


@pytest.mark.parametrize(
    ("name", "deadly"),
    [("Kuehneromyces mutabilis", "Galerina marginata"), ("Agaricus campestris", "Inosperma erubescens")],
)
def test_nothing_in_the_field_excludes_the_deadly_one(form, dataset, checklist, name, deadly):
    """Source: common practice, no source (engine.md, 8)."""
    found = graded(form, dataset, checklist, name)
    assert deadly in {each for each, *_ in short(found)}
    assert found.grade in {"unproven", "specialist"}


@pytest.mark.parametrize("name", ["Cantharellus cibarius", "Craterellus tubaeformis", "Morchella esculenta"])
def test_what_beginners_confuse_is_never_for_beginners(form, dataset, checklist, name):
    """Source: common practice, no source (engine.md, 8)."""
    assert graded(form, dataset, checklist, name).grade != "beginner"
