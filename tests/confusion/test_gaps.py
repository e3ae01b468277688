"""Which missing values matter most (engine.md, 7). The taxa are invented; the catalogue is ours."""

from __future__ import annotations

import random
from collections import Counter
from functools import cache
from statistics import median

from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.confusion.appearance import Appearance
from sporeproof.confusion.gaps import gaps
from sporeproof.confusion.likely import Likely
from sporeproof.confusion.separation import required_of
from sporeproof.confusion.suspects import suspects_of
from sporeproof.confusion.wanting import settles_most
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist
from tests.confusion.taxa import apart, look_of
from tests.laws.taxa import form as the_form

CAP = {"body": "cap-and-stem", "hymenophore": "gills", "volva": "none"}
RINGLESS = CAP | {"ring": "absent"}
GOOD = CAP | {"ring": "present", "gill-spacing": "distant"}


def taxon(name, characters, verdict="deadly", family="Fictaceae", **edibility):
    value = {"id": name, "name": name, "family": family, "characters": characters}
    return Entry(f"dataset/taxa/{name}.yaml", "", value | {"edibility": {"verdict": verdict, **edibility}})


def told(found):
    """Each gap as taxon, character and pairs by level, in the order of rank."""
    return [
        (gap.entry.name, gap.character.id, {level: {names(pair) for pair in its} for level, its in gap.settles.items()})
        for gap in found.gaps
    ]


def names(pair):
    return pair.edible.name, pair.suspect.name


def gaps_of(form, *entries, about=None):
    return gaps(Checklist(entries), form, about)


# By hand.

EDULE = taxon("Bonum edule", GOOD, "edible")
KIN = taxon("Letale notum", RINGLESS | {"gill-spacing": "crowded"})
PAIR = {("Bonum edule", "Letale obscurum")}


def test_a_value_that_the_genus_makes_likely_settles_its_pair(form):
    found = gaps_of(form, EDULE, KIN, taxon("Letale obscurum", RINGLESS))
    assert [names(pair) for pair in found.open] == sorted(PAIR)
    assert told(found) == [("Letale obscurum", "gill-spacing", {"field": PAIR})]
    assert (found.gaps[0].ages, found.gaps[0].kin) == ((), "genus")
    assert (found.lacking, found.complete) == (0, 0)


def test_a_likely_value_that_does_not_separate_is_no_gap(form):
    same = taxon("Letale notum", RINGLESS | {"gill-spacing": "distant"})
    found = gaps_of(form, EDULE, same, taxon("Letale obscurum", RINGLESS))
    assert told(found) == []
    assert (len(found.open), found.lacking, found.complete) == (2, 2, 0)


def test_a_value_without_a_needed_age_lacks_that_age(form):
    found = gaps_of(form, EDULE, KIN, taxon("Letale obscurum", RINGLESS | {"gill-spacing": {"young": ["close"]}}))
    assert told(found) == [("Letale obscurum", "gill-spacing", {"field": PAIR})]
    assert found.gaps[0].ages == ("mature",)


def test_what_is_on_record_at_other_ages_stays(form):
    young = taxon("Letale obscurum", RINGLESS | {"gill-spacing": {"young": ["distant"]}})
    assert told(gaps_of(form, EDULE, KIN, young)) == []
    staged = taxon("Letale notum", RINGLESS | {"gill-spacing": {"young": ["crowded"], "mature": ["close"]}})
    assert told(gaps_of(form, EDULE, staged, young)) == []
    fits = taxon("Letale obscurum", RINGLESS | {"gill-spacing": {"young": ["close"]}})
    assert told(gaps_of(form, EDULE, staged, fits)) == [("Letale obscurum", "gill-spacing", {"field": PAIR})]


def test_a_cell_of_the_edible_one_lacks_the_age_that_is_accepted(form):
    thin = CAP | {"ring": "present", "gill-spacing": {"young": ["distant"]}}
    edule = taxon("Bonum edule", thin, "edible", accept_only={"stage": ["mature"]})
    kin = taxon("Bonum insipidum", CAP | {"gill-spacing": "distant"}, "inedible")
    found = gaps_of(form, edule, kin, KIN)
    assert told(found) == [("Bonum edule", "gill-spacing", {"field": {("Bonum edule", "Letale notum")}})]
    assert found.gaps[0].ages == ("mature",)


def test_nobody_is_its_own_relative(form):
    """What is on record at the ages that are not accepted says nothing of those that are."""
    spacing = {"gill-spacing": {"young": ["distant"], "mature": ["distant"]}}
    edule = taxon("Bonum edule", CAP | {"ring": "present"} | spacing, "edible", accept_only={"stage": ["old"]})
    sole = taxon("Letale notum", RINGLESS | {"gill-spacing": "close"})
    found = gaps_of(form, edule, sole)
    assert [names(pair) for pair in found.open] == [("Bonum edule", "Letale notum")]
    assert told(found) == []


def test_where_two_values_are_needed_the_pair_stays_open(form):
    found = gaps_of(form, EDULE, KIN, taxon("Letale obscurum", CAP))
    assert told(found) == []
    assert (found.lacking, found.complete) == (1, 0)


def test_what_only_a_print_would_settle_ranks_after_the_field(form):
    edule = taxon("Bonum edule", GOOD | {"spore-print": "white"}, "edible")
    brown = taxon("Letale notum", RINGLESS | {"gill-spacing": "crowded", "spore-print": "rusty-brown"})
    found = gaps_of(form, edule, brown, taxon("Letale obscurum", RINGLESS))
    assert told(found) == [
        ("Letale obscurum", "gill-spacing", {"field": PAIR}),
        ("Letale obscurum", "spore-print", {"print": PAIR}),
    ]


def test_a_pair_that_a_print_settles_as_it_is_asks_for_no_other_print(form):
    edule = taxon("Bonum edule", GOOD | {"spore-print": "white"}, "edible")
    brown = RINGLESS | {"spore-print": "rusty-brown"}
    kin = taxon("Letale notum", brown | {"gill-spacing": "crowded", "amyloid": "amyloid"})
    found = gaps_of(form, edule, kin, taxon("Letale obscurum", brown))
    assert [pair.level for pair in found.open] == ["print"]
    assert told(found) == [("Letale obscurum", "gill-spacing", {"field": PAIR})]


def test_more_pairs_come_first_then_the_name(form):
    second = taxon("Bonum alterum", GOOD, "edible")
    lone = taxon("Letale solum", RINGLESS, syndromes=[])
    found = gaps_of(form, EDULE, second, KIN, taxon("Letale obscurum", RINGLESS), lone)
    assert [(gap.entry.name, gap.at("field")) for gap in found.gaps] == [("Letale obscurum", 2), ("Letale solum", 2)]
    mild = taxon("Letale aliud", CAP, "poisonous", syndromes=["gastrointestinal"])
    found = gaps_of(form, EDULE, KIN, taxon("Letale obscurum", RINGLESS), mild)
    assert [(gap.entry.name, gap.character.id) for gap in found.gaps] == [
        ("Letale aliud", "gill-spacing"),
        ("Letale aliud", "ring"),
        ("Letale obscurum", "gill-spacing"),
    ]


def test_for_one_taxon_come_the_cells_of_either_side_of_its_pairs(form):
    lacks_spacing = taxon("Bonum edule", CAP | {"ring": "present"}, "edible")
    kin = taxon("Bonum alterum", GOOD, "edible")
    obscure = taxon("Letale obscurum", RINGLESS)
    entries = (lacks_spacing, kin, KIN, obscure)
    pairs = {("Bonum edule", "Letale notum")}
    assert told(gaps_of(form, *entries, about=KIN)) == [("Bonum edule", "gill-spacing", {"field": pairs})]
    assert [names(each) for each in gaps_of(form, *entries, about=kin).open] == [("Bonum alterum", "Letale obscurum")]
    assert {gap.entry for gap in gaps_of(form, *entries, about=kin).gaps} == {obscure}


def test_what_an_implication_waits_for_is_seen(form):
    ball = taxon("Bonum rotundum", {"body": "ball", "hymenophore": "enclosed"}, "edible")
    bare = taxon("Letale notum", CAP)
    egg = taxon("Letale obscurum", {"body": "cap-and-stem", "hymenophore": "gills"})
    found = gaps_of(form, ball, bare, egg)
    assert told(found) == [("Letale obscurum", "volva", {"field": {("Bonum rotundum", "Letale obscurum")}})]


def test_where_all_is_on_record_nothing_is_to_do(form):
    all_ = {id: [10, 20] if each.is_measured else next(iter(each.states)) for id, each in form.characters.items()} | CAP
    found = gaps_of(form, taxon("Bonum edule", all_, "edible"), taxon("Letale simile", all_), KIN)
    assert found.gaps == ()
    assert ("Bonum edule", "Letale simile") in {names(pair) for pair in found.open}
    assert found.lacking == sum(pair.suspect is KIN for pair in found.open)


def test_a_dataset_without_open_pairs_has_no_gaps(form):
    found = gaps_of(form, EDULE, KIN)
    assert (found.open, found.gaps, found.lacking, found.complete) == ((), (), 0, 0)


# The likely value.


def supposed(form, character, *donors, family="Fictaceae"):
    obscure = taxon("Letale obscurum", RINGLESS, family=family)
    kin, look = Likely([obscure, *donors], form).supposed(obscure, form.characters[character])
    return kin, look and {**look.traits.states, **look.traits.ranges}[character]


def spaced(name, *states, family="Fictaceae"):
    return taxon(name, CAP | {"gill-spacing": list(states)}, family=family)


def test_the_nearest_relatives_are_asked_first(form):
    far, family, genus = (
        spaced("Alienum unum", "close", family="Alienaceae"),
        spaced("Vicinum unum", "spaced"),
        spaced("Letale unum", "crowded"),
    )
    assert supposed(form, "gill-spacing", far, family, genus) == ("genus", {"any": {"crowded"}})
    assert supposed(form, "gill-spacing", far, family) == ("family", {"any": {"spaced"}})
    assert supposed(form, "gill-spacing", far) == ("all", {"any": {"close"}})
    assert supposed(form, "gill-spacing", far, family=None) == ("all", {"any": {"close"}})
    assert supposed(form, "gill-spacing") == ("", None)


def test_the_most_frequent_wins_then_the_widest_then_the_first_of_the_catalogue(form):
    one, two, three = (
        spaced("Letale unum", "crowded"),
        spaced("Letale alterum", "distant"),
        spaced("Letale tertium", "distant"),
    )
    wide = spaced("Letale latum", "close", "spaced")
    assert supposed(form, "gill-spacing", one, two, three, wide)[1] == {"any": {"distant"}}
    assert supposed(form, "gill-spacing", one, two, wide)[1] == {"any": {"close", "spaced"}}
    assert supposed(form, "gill-spacing", two, one)[1] == {"any": {"crowded"}}


def test_of_sizes_the_median_is_likely(form):
    sizes = [
        taxon(f"Letale {place}", CAP | {"cap-width": size}) for place, size in enumerate([[10, 30], [20, 90], [30, 40]])
    ]
    assert supposed(form, "cap-width", *sizes) == ("genus", {"any": (20, 40)})


def test_a_relative_to_which_it_does_not_apply_is_not_asked(form):
    pored = taxon("Letale porosum", {"body": "cap-and-stem", "volva": "none", "hymenophore": "pores"})
    pored.value["characters"]["gill-spacing"] = "crowded"
    assert supposed(form, "gill-spacing", pored) == ("", None)


# Against a plain, slow reading.

SOME = ("ring", "gill-spacing", "gill-attachment", "gill-colour", "cap-width", "spore-print", "spore-length", "milk")


def herd(seed):
    """A small dataset full of holes, in which few states make near misses frequent."""
    chance, form = random.Random(seed), the_form()
    return [_drawn(chance, form, place) for place in range(8)]


def _drawn(chance, form, place):
    characters = {"body": chance.choice(["cap-and-stem", "cap-and-stem", "ball"]), "hymenophore": "gills"}
    for id in ("body", "hymenophore", "volva", *SOME):
        if chance.random() < 0.65:
            characters[id] = _value(chance, form.characters[id])
    if chance.random() < 0.2:
        del characters["hymenophore"]
    verdict = chance.choice(["edible", "edible", "deadly", "deadly", "poisonous", "disputed", "unknown"])
    needs = ["no-alcohol"] if chance.random() < 0.2 else []
    more = {"accept_only": {"stage": ["mature"]}} if chance.random() < 0.3 else {}
    syndromes = ["gastrointestinal"] if verdict == "poisonous" else []
    name = f"{chance.choice(['Unum', 'Alterum', 'Tertium'])} n{place}"
    return taxon(name, characters, verdict, chance.choice(["A", "B", None]), syndromes=syndromes, needs=needs, **more)


def _value(chance, character):
    if character.is_measured:
        return sorted([chance.randint(1, 60), chance.randint(1, 60)])
    if character.id == "volva":
        return "none"
    few = ["white", "rusty-brown"] if character.id == "spore-print" else list(character.states)[:4]
    if character.id in ("body", "hymenophore"):
        few = ["cap-and-stem", "ball"] if character.id == "body" else ["gills", "enclosed"]
    states = [chance.sample(few, chance.randint(1, 2)) for _ in range(2)]
    if chance.random() < 0.3:
        return {stage: each for stage, each in zip(("young", "mature"), states, strict=True) if chance.random() < 0.8}
    return states[0]


LEVELS = ("field", "print", "lab")


def first_enough(form, a: Appearance, b: Appearance, needed):
    return next((level for level in LEVELS if apart(form, a, b, level, needed) >= needed), "")


def plainly(form, entries):
    """Engine.md, 7, step by step: each cell of each open pair, with nothing kept and nothing left out."""
    found = {}
    for a in (each for each in entries if form.is_edible(each.verdict)):
        for b in suspects_of(a, entries, form):
            needed, looks = required_of(b, form), {each: kept_look(form, each) for each in (a, b)}
            now = first_enough(form, looks[a], looks[b], needed)
            if now == "field":
                continue
            for entry in (a, b):
                for character in form.characters.values():
                    value = lacking(form, entry, character, entry is a) and likely(form, entry, character, entries)
                    if value:
                        after = looks | {entry: look_of(form, with_value(entry, character, value))}
                        level = first_enough(form, after[a], after[b], needed)
                        if level == "field" or (level and not now):
                            cell = found.setdefault((entry.name, character.id), {})
                            cell.setdefault(level, set()).add((a.name, b.name))
    return found


def stages_of(entry, character):
    return entry.characters[character.id].by_stage if character.id in entry.characters else {}


@cache
def kept_look(form, entry):
    return look_of(form, entry)


def lacking(form, entry, character, eaten):
    given, look = stages_of(entry, character), kept_look(form, entry)
    if "any" in given or (look.accepted if eaten else look.shown)(character).status != "unknown":
        return False
    if not eaten:
        return not {"young", "mature"} <= set(given)
    accepted = entry.accept_only.get("stage", ("young", "mature", "old"))
    return not set(accepted) & set(given)


def likely(form, entry, character, entries):
    genus, family = entry.name.split()[0], entry.value.get("family")
    others = [each for each in entries if each is not entry and stages_of(each, character)]
    others = [each for each in others if kept_look(form, each).shown(character).status == "known"]
    for kin in (
        [each for each in others if each.name.split()[0] == genus],
        [each for each in others if family and each.value.get("family") == family],
        others,
    ):
        if kin and character.is_measured:
            return {"any": [median([stages_of(each, character)["any"][end] for each in kin]) for end in (0, 1)]}
        if kin:
            return most_frequent(character, [one_form(stages_of(each, character)) for each in kin])
    return None


def one_form(given):
    sets = {stage: frozenset(states) for stage, states in given.items()}
    return {"any": next(iter(sets.values()))} if len(set(sets.values())) == 1 else sets


def most_frequent(character, values):
    order = list(character.states)
    counts = Counter(tuple(sorted(each.items())) for each in values)

    def place(value):
        stages = sorted(value, key=lambda one: ("young", "mature", "old", "any").index(one[0]))
        width = len({state for _, states in value for state in states})
        return (
            -counts[value],
            -width,
            [(stage, sorted(order.index(each) for each in states)) for stage, states in stages],
        )

    return {stage: sorted(states) for stage, states in min(counts, key=place)}


def with_value(entry, character, value):
    given = {stage: list(states) for stage, states in stages_of(entry, character).items()}
    characters = entry.value["characters"] | {character.id: value | given}
    return Entry(entry.file, "", entry.value | {"characters": characters})


def test_it_agrees_with_a_plain_slow_reading(form):
    seen = Counter()
    for seed in range(40):
        entries = herd(seed)
        found = told(gaps_of(form, *entries))
        assert {(name, id): its for name, id, its in found} == plainly(form, entries), seed
        seen.update(level for _, _, its in found for level in its)
    assert seen["field"] > 20
    assert seen["print"] > 1


# Laws.


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6), st.randoms(use_true_random=False))
def test_the_order_of_the_entries_changes_nothing(seed, chance):
    entries = herd(seed)
    mixed = chance.sample(entries, len(entries))
    one, other = gaps_of(the_form(), *entries), gaps_of(the_form(), *mixed)
    assert told(one) == told(other)
    assert list(map(names, one.open)) == list(map(names, other.open))
    assert (one.lacking, one.complete) == (other.lacking, other.complete)
    for entry in entries:
        ways = [settles_most(entry, suspects_of(entry, those, the_form()), the_form()) for those in (entries, mixed)]
        assert ways[0] == ways[1]


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6))
def test_open_pairs_are_settled_or_stay(seed):
    found = gaps_of(the_form(), *herd(seed))
    settled = {names(pair) for gap in found.gaps for its in gap.settles.values() for pair in its}
    assert len(settled) + found.lacking + found.complete == len(found.open)
    assert settled <= set(map(names, found.open))


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6))
def test_the_quick_count_is_never_less_than_a_likely_value_settles(seed):
    """Without what an implication waits for, which only the slow one sees."""
    entries = [with_value(each, the_form().characters["volva"], {"any": ["none"]}) for each in herd(seed)]
    best = Counter()
    for gap in gaps_of(the_form(), *entries).gaps:
        if gap.character.id != "body":
            mine = Counter(pair.edible for pair in gap.settles.get("field", ()))
            best |= mine
    for entry, most in best.items():
        assert settles_most(entry, suspects_of(entry, entries, the_form()), the_form()).settles >= most


# One entry, at once.


def quick(form, entry, *others):
    found = settles_most(entry, others, form)
    return found and (found.short, found.cell and (found.cell[0].name, found.cell[1].id), found.settles)


def test_the_value_that_might_settle_most_is_named(form):
    lacks = taxon("Bonum edule", CAP | {"ring": "present"}, "edible")
    others = [
        taxon(f"Letale {word}", RINGLESS | {"gill-spacing": each})
        for word, each in (("unum", "close"), ("alterum", "distant"))
    ]
    assert quick(form, lacks, *others) == (2, ("Bonum edule", "gill-spacing"), 2)


def test_what_lacks_on_both_sides_is_short_and_no_single_value_mends_it(form):
    lacks = taxon("Bonum edule", CAP | {"ring": "present"}, "edible")
    assert quick(form, lacks, taxon("Letale unum", RINGLESS)) == (1, None, 0)


def test_a_value_that_weighs_too_little_mends_nothing(form):
    """Nothing separates them, and the distance of the gills alone is worth 1."""
    both = taxon("Letale unum", CAP | {"ring": "present", "gill-spacing": "crowded"})
    lacks = taxon("Bonum edule", CAP | {"ring": "present"}, "edible")
    assert quick(form, lacks, both) == (1, None, 0)


def test_what_hangs_on_one_missing_value_counts_for_it(form):
    """Gills that wait for the fertile surface: it is what is asked for, by the name of the taxon that lacks it."""
    waiting = {id: value for id, value in RINGLESS.items() if id != "hymenophore"} | {"gill-spacing": "crowded"}
    assert quick(form, EDULE, taxon("Letale unum", waiting)) == (1, ("Letale unum", "hymenophore"), 1)


def test_an_entry_whose_pairs_lack_nothing_or_are_settled_wants_nothing(form):
    assert quick(form, EDULE, KIN) is None
    all_ = {id: [10, 20] if each.is_measured else next(iter(each.states)) for id, each in form.characters.items()}
    assert quick(form, taxon("Bonum edule", all_ | CAP, "edible"), taxon("Letale simile", all_ | CAP)) is None
