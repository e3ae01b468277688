"""Draws taxa from the whole catalogue, for laws that must hold of any two of them."""

from __future__ import annotations

from functools import cache
from typing import Any

from hypothesis import strategies as st

from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form, load_form
from tests.conftest import ROOT


@cache
def form() -> Form:
    return load_form(ROOT / "schema")


def states(character: Character) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(sorted(character.states)), min_size=1, max_size=3, unique=True)


def values(character: Character) -> st.SearchStrategy[Any]:
    """A value as an entry may write it: plain, by stage, or a range."""
    if character.is_measured:
        numbers = st.integers(1, 200)
        return st.tuples(numbers, numbers).map(sorted).map(list)
    by_stage = st.fixed_dictionaries(
        {"young": states(character), "mature": states(character)}, optional={"old": states(character)}
    )
    return st.one_of(states(character), by_stage)


@st.composite
def taxa(draw: st.DrawFn) -> dict[str, Any]:
    """The characters of a taxon: body and fertile surface always, others at will."""
    catalogue = form().characters
    chosen = draw(st.sets(st.sampled_from(sorted(catalogue)), max_size=25)) | {"body", "hymenophore", "volva"}
    return {id: draw(values(catalogue[id])) for id in sorted(chosen)}


@st.composite
def narrowings(draw: st.DrawFn, characters: dict[str, Any]) -> dict[str, list[str]]:
    """An ``accept_only`` of states that the taxon has."""
    plain = {id: value for id, value in characters.items() if isinstance(value, list) and isinstance(value[0], str)}
    if not plain:
        return {}
    chosen = draw(st.sets(st.sampled_from(sorted(plain)), max_size=4))
    return {id: draw(st.lists(st.sampled_from(plain[id]), min_size=1, unique=True)) for id in sorted(chosen)}


def free() -> list[str]:
    """Characters with states on which no other depends and that no implication names."""
    controlling = {each.applies_if[0] for each in form().characters.values() if each.applies_if}
    implied = {
        name
        for each in form().implications
        for name in (each.when_character, each.unless_character, each.adds_character)
    }
    return [id for id, each in form().characters.items() if each.states and id not in controlling | implied]
