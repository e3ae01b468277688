"""The laws of engine.md, 9, on the real dataset: what makes us know less never raises a grade."""

from __future__ import annotations

import copy
import random
from dataclasses import replace

import pytest

from sporeproof.confusion.proof import proof
from sporeproof.confusion.proved import proof_of, proofs_of
from sporeproof.confusion.separation import compare, required_of, separators
from sporeproof.confusion.suspects import suspects_of
from sporeproof.records.entry import Entry
from sporeproof.tables.resolve import Checklist
from tests.confusion.taxa import look_of, told
from tests.laws.taxa import free

LEVELS = ("field", "print", "lab")
BEST = (
    "Hydnum repandum", "Auricularia auricula-judae", "Mucidula mucida", "Boletus edulis", "Fistulina hepatica",
    "Leccinum scabrum", "Suillus luteus",
)  # fmt: skip
TRIES = 12

each_of_the_best = pytest.mark.parametrize("name", BEST)


@pytest.fixture(scope="module")
def grades(form):
    return list(form.vocabularies["grades"])


@pytest.fixture(scope="module")
def rank(form, grades):
    def of(entry, suspects):
        return grades.index(proof(entry, suspects, form, missing=[]).grade)

    return of


@pytest.fixture(scope="module")
def edible(form, checklist):
    return [each for each in checklist.entries if form.is_edible(each.verdict)]


@pytest.fixture(scope="module")
def against(form, checklist):
    """For a name: the entry, its suspects, and a chance of its own."""

    def found(name):
        entry = checklist.find(name).one
        return entry, suspects_of(entry, checklist.entries, form), random.Random(name)

    return found


def changed(entry, **blocks):
    return Entry(entry.file, entry.text, copy.deepcopy(entry.value) | blocks)


def described(entry, id, value):
    return changed(entry, characters={**entry.value["characters"], id: value})


def instead(suspects, old, new):
    return [new if each is old else each for each in suspects]


def counts(form, entry, other):
    contrasts = compare(look_of(form, entry), look_of(form, other), form)
    return [separators(contrasts, level, required_of(other, form), form) for level in LEVELS]


def no_more(new, old):
    return all(one <= other for one, other in zip(new, old, strict=True))


def staged(value):
    plain = value["is"] if isinstance(value, dict) and "is" in value else value
    if isinstance(plain, dict):
        return {stage: [states] if isinstance(states, str) else list(states) for stage, states in plain.items()}
    return {"": [plain] if isinstance(plain, str) else list(plain)}


def separating(form, entry, other):
    """The free characters that separate a pair: what a change can take away."""
    contrasts = compare(look_of(form, entry), look_of(form, other), form)
    return [each.character.id for each in contrasts if each.separates == "yes" and each.character.id in free()]


@each_of_the_best
def test_another_state_of_a_suspect(form, against, rank, name):
    """Half of the states added are the entry's own, so that the separator is lost indeed."""
    entry, suspects, chance = against(name)
    before, lost = rank(entry, suspects), 0
    told_by = [(each, id) for each in suspects for id in separating(form, entry, each)]
    for turn, (other, id) in enumerate(chance.sample(told_by, TRIES)):
        own = look_of(form, entry).accepted(form.characters[id]).states
        extra = chance.choice(sorted(own if turn % 2 else form.characters[id].states))
        wider = {stage: [*states, extra] for stage, states in staged(other.value["characters"][id]).items()}
        new = described(other, id, wider.get("", wider))
        assert no_more(counts(form, entry, new), counts(form, entry, other)), (other.name, id, extra)
        assert rank(entry, instead(suspects, other, new)) <= before, (other.name, id, extra)
        lost += id not in separating(form, entry, new)
    assert lost >= TRIES // 2


def young_only(suspects):
    """Each suspect without the young of a free character, where the young show what the mature do not."""
    for other in suspects:
        for id in free():
            stages = staged(other.value["characters"].get(id, []))
            if set(stages.get("young", [])) - set(stages.get("mature", [])):
                yield other, id, described(other, id, {stage: stages[stage] for stage in stages if stage != "young"})


def test_forgetting_the_young_of_a_suspect_separates_nothing(form, against, edible):
    """Every such suspect against every edible entry: that one character is all that changes."""
    _, suspects, _ = against(BEST[0])
    looks = [(each.name, look_of(form, each)) for each in edible]
    cases = list(young_only(suspects))
    assert len(cases) > TRIES
    for other, id, new in cases:
        was, then = look_of(form, other), look_of(form, new)
        for name, look in looks:
            gained = told(form, look, then, id).separates == "yes" and told(form, look, was, id).separates != "yes"
            assert not gained, (name, other.name, id)


@each_of_the_best
def test_forgetting_the_young_of_a_suspect_raises_no_grade(form, against, rank, name):
    entry, suspects, chance = against(name)
    before = rank(entry, suspects)
    for other, id, new in chance.sample(list(young_only(suspects)), TRIES):
        assert no_more(counts(form, entry, new), counts(form, entry, other)), (other.name, id)
        assert rank(entry, instead(suspects, other, new)) <= before, (other.name, id)


def narrowed(form, entry):
    """An entry that accepts only one of its states of a free character, in every such way."""
    look, given = look_of(form, entry), entry.value["edibility"]
    for character in (form.characters[id] for id in free()):
        states = look.accepted(character).states
        for state in sorted(states) if len(states) > 1 else ():
            only = {**given.get("accept_only", {}), character.id: [state]}
            yield character.id, look, look_of(form, changed(entry, edibility={**given, "accept_only": only}))


def test_narrowing_what_is_accepted_removes_no_separator(form, against, edible):
    """Every edible entry, to any one of the states that are there, against each suspect of the first."""
    others = [look_of(form, each) for each in against(BEST[0])[1]]
    kept = 0
    for entry in edible:
        for id, look, narrow in narrowed(form, entry):
            for other in others:
                was = told(form, look, other, id)
                if was.separates == "yes":
                    then = told(form, narrow, other, id)
                    assert (then.separates, then.weight >= was.weight) == ("yes", True), (entry.name, id)
                    kept += 1
    assert kept > TRIES


def with_one_more(form, checklist, entry, added, place=None):
    """The proof of an entry in a dataset with one more, at some place in it."""
    entries = list(checklist.entries)
    entries.insert(len(entries) if place is None else place, added)
    return proof_of(entry, Checklist(entries, checklist.retired), form)


def added_as(verdict, characters):
    """A dangerous taxon that no list of suspects names, and that shares no name with any entry."""
    value = {"id": "F9999", "name": "Fictum additum", "rank": "species", "characters": characters}
    return Entry("dataset/taxa/fictum-additum.yaml", "", value | {"edibility": {"verdict": verdict}})


def harmful(form):
    verdicts = form.vocabularies["verdicts"]
    return [each for each in verdicts if form.is_dangerous(each) or form.is_unsettled(each)]


@each_of_the_best
def test_one_more_dangerous_taxon(form, checklist, against, grades, name):
    entry, suspects, chance = against(name)
    before = grades.index(proof_of(entry, checklist, form).grade)
    for _ in range(TRIES):
        recorded = chance.choice(suspects).value["characters"]
        some = {id: value for id, value in recorded.items() if chance.random() < 0.7}
        added = added_as(chance.choice(harmful(form)), some)
        assert grades.index(with_one_more(form, checklist, entry, added).grade) <= before


@each_of_the_best
def test_a_dangerous_double_leaves_nothing_proved_wherever_it_stands(form, checklist, grades, name):
    entry = checklist.find(name).one
    for verdict in harmful(form):
        double = added_as(verdict, entry.value["characters"])
        for place in (0, len(checklist.entries) // 2, None):
            found = with_one_more(form, checklist, entry, double, place)
            assert found.grade == grades[0], (verdict, place)
            assert all("Fictum additum" in {each.suspect.name for each in one.does_not_exclude} for one in found.lists)


def graded(entries, checklist, form):
    return {each.entry.name: each.grade for each in proofs_of(entries, checklist, form)}


def test_the_order_of_the_entries_changes_no_grade(form, checklist, edible):
    before = graded(edible, checklist, form)
    chance = random.Random("entries")
    for entries in (checklist.entries[::-1], chance.sample(checklist.entries, len(checklist.entries))):
        assert graded(edible, Checklist(entries, checklist.retired), form) == before


def test_the_order_of_characters_of_equal_cost_changes_no_grade(form, checklist, edible):
    before = graded(edible, checklist, form)
    chance = random.Random("characters")
    for _ in range(2):
        turned = dict(form.characters)
        for method in {each.seen_by for each in form.characters.values()}:
            equal = [each for each in form.characters.values() if each.seen_by == method]
            places = chance.sample([each.position for each in equal], len(equal))
            turned |= {one.id: replace(one, position=place) for one, place in zip(equal, places, strict=True)}
        assert graded(edible, checklist, replace(form, characters=turned)) == before


def test_the_laws_have_something_to_lose(rank, against):
    """Grades must be high enough to fall, or the laws above would hold of anything."""
    ranks = [rank(entry, suspects) for entry, suspects, _ in map(against, BEST)]
    assert min(ranks) > 0
    assert max(ranks) == 4
