"""Characters, states, dependencies and missing values as the DELTA standard means them (TDWG; Dallwitz 1980, Taxon 29).

The meanings stand here from memory; each test names the directive or the sign that it is about. Where the engine goes
its own way, the test says so: it must never take silence for a value.
"""

from __future__ import annotations

import pytest

from tests.confusion.taxa import look, told


def shown(form, characters, id):
    view = look(form, characters).shown(form.characters[id])
    return view.status, set(view.states)


CAP = {"body": ["cap-and-stem"], "volva": ["none"]}


def test_a_value_not_recorded_is_unknown(form):
    """The sign `U`: unknown. It separates nothing, from either side. From memory."""
    assert shown(form, CAP, "ring")[0] == "unknown"
    ringed = look(form, CAP | {"ring": ["present"]})
    silent = look(form, CAP)
    assert told(form, ringed, silent, "ring").separates == "unknown"
    assert told(form, silent, ringed, "ring").separates == "unknown"


def test_an_inapplicable_character_is_not_unknown(form):
    """The sign `-`, and *DEPENDENT CHARACTERS: a controlling state makes others inapplicable. From memory."""
    club = {"body": ["coral"], "volva": ["none"]}
    assert shown(form, club, "ring")[0] == "not-applicable"
    assert told(form, look(form, CAP | {"ring": ["present"]}), look(form, club), "ring").separates == "not-applicable"


def test_inapplicability_is_inherited(form):
    """*DEPENDENT CHARACTERS form chains: what depends on an inapplicable character is itself inapplicable.

    From memory.
    """
    chain = form.characters["ring-type"]
    assert chain.applies_if is not None
    assert chain.applies_if[0] == "ring"
    assert shown(form, {"body": ["coral"], "volva": ["none"]}, "ring-type")[0] == "not-applicable"


def test_several_states_are_alternatives(form):
    """The separator `/`: any of the states occurs; the sign `V`, variable, is all of them: nothing is told.

    From memory.
    """
    spacing = list(form.characters["gill-spacing"].states)
    gilled = CAP | {"hymenophore": ["gills"]}
    some = look(form, gilled | {"gill-spacing": ["distant"]})
    assert (
        told(form, some, look(form, gilled | {"gill-spacing": ["crowded", "close"]}), "gill-spacing").separates == "yes"
    )
    assert told(form, some, look(form, gilled | {"gill-spacing": spacing}), "gill-spacing").separates == "no"


def test_partly_inapplicable_keeps_its_values(form):
    """A controlling attribute of several states, of which some make a character inapplicable: `maybe inapplicable`.

    From memory.
    """
    both = {"hymenophore": ["gills", "pores"], "gill-colour": ["white"], "body": ["cap-and-stem"], "volva": ["none"]}
    status, states = shown(form, both, "gill-colour")
    assert status == "known"
    assert "white" in states


def test_partly_inapplicable_is_unknown_where_the_control_may_be_misread(form):
    """Our own, and stricter than `maybe inapplicable`.

    The control takes a state inside and one outside that beginners take for it, a bracket for a cap and stem; nobody
    knows of which the ring was read, so it proves nothing.

    From memory.
    """
    misread = {"body": ["cap-and-stem", "bracket"], "volva": ["none"], "ring": ["present"]}
    bodies = form.characters["body"].states
    assert "cap-and-stem" in bodies["bracket"].near | bodies["bracket"].like
    assert shown(form, misread, "ring")[0] == "unknown"
    assert shown(form, misread | {"body": ["cap-and-stem"]}, "ring")[0] == "known"


def test_an_unknown_control_makes_the_dependent_unknown(form):
    """An unknown controlling attribute leaves its dependents open, whatever is recorded of them.

    From memory.
    """
    assert shown(form, {"ring": ["present"], "volva": ["none"]}, "ring")[0] == "unknown"


def test_there_are_no_implicit_values(form):
    """*IMPLICIT VALUES give an unrecorded attribute the usual value. Ours never does: absence is no value.

    From memory.
    """
    for id, character in form.characters.items():
        if character.states and character.applies_if is None and id not in {"body", "hymenophore"}:
            assert shown(form, CAP, id)[0] == "unknown", id


def test_an_implication_adds_and_never_replaces(form):
    """The nearest to *IMPLICIT VALUES: a volva implies the egg, beside what is recorded and not in its place.

    From memory.
    """
    bag = {"body": ["cap-and-stem"], "hymenophore": ["gills"], "volva": ["sac"]}
    assert shown(form, bag, "body")[1] >= {"cap-and-stem", "ball"}
    assert shown(form, bag, "hymenophore")[1] >= {"gills", "enclosed"}


@pytest.mark.parametrize(("low", "separates"), [(61, "yes"), (60, "one-way")])
def test_a_range_is_all_that_lies_in_it(form, low, separates):
    """A numeric attribute `20-50` holds all between; on the other side it is widened by the catalogue's tolerance.

    From memory.
    """
    size = form.characters["cap-width"]
    assert size.tolerance == pytest.approx(0.2)
    mine = look(form, {"cap-width": [20, 90]}, {"cap-width": [low, 90]})
    assert told(form, mine, look(form, {"cap-width": [20, 50]}), "cap-width").separates == separates


@pytest.mark.parametrize(
    "written",
    [{"young": [5, 10], "mature": [20, 38]}, {"young": [20, 38], "mature": [5, 10]}],
    ids=["the mature reach it", "the young reach it"],
)
def test_a_range_by_stage_is_the_hull(form, written):
    """Several ranges `20-30/40-50` are taken from the least to the greatest, whichever stage reaches it.

    From memory.
    """
    mine = look(form, {"cap-width": [20, 90]}, {"cap-width": [45, 90]})
    assert told(form, mine, look(form, {"cap-width": written}), "cap-width").separates == "one-way"
    smaller = {stage: [low, min(high, 36)] for stage, (low, high) in written.items()}
    assert told(form, mine, look(form, {"cap-width": smaller}), "cap-width").separates == "yes"
