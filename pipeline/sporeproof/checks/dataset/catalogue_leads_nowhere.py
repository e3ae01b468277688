"""The schema refers to a word that it does not hold.

## Why
A link of the catalogue that leads nowhere makes a comparison less cautious than somebody meant it to be.

## Mend
Write a state, a character or a word that the schema holds.

## Wrong
```yaml schema/characters.yaml
implications: []
characters:
  - id: ring
    title: Ring
    part: stem
    kind: categorical
    proof: firm
    seen_by: glance
    states:
      present: {means: There, may_turn_into: [gone]}
      absent: {means: Not there}
```
```yaml schema/suspects.yaml
surface: ring
suspects: {}
```

## Right
```yaml schema/characters.yaml
implications: []
characters:
  - id: ring
    title: Ring
    part: stem
    kind: categorical
    proof: firm
    seen_by: glance
    states:
      present: {means: There, may_turn_into: [absent]}
      absent: {means: Not there}
```
```yaml schema/suspects.yaml
surface: ring
suspects: {}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Mark, Problem
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.form.shapes import Path_


@rule("dataset.catalogue-leads-nowhere", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each word of the catalogue and the suspects, and caution of a need, that leads nowhere."""
    for index, character in enumerate(form.characters.values()):
        path: Path_ = ("characters", index)
        yield from _unknown(form, path, character)
        for id, state in character.states.items():
            for link in ("may_turn_into", "near", "like"):
                for word in sorted(map(str, getattr(state, link) - set(character.states))):
                    yield _problem(form.at(CATALOGUE, *path, "states", id), word, f"state of {character.id}")
        if character.applies_if:
            yield from _states(form, (*path, "applies_if"), *character.applies_if)
    for index, each in enumerate(form.implications):
        path = ("implications", index)
        yield from _states(form, (*path, "when"), each.when_character, each.when_states)
        yield from _states(form, (*path, "unless"), each.unless_character, each.unless_states)
        yield from _states(form, (*path, "adds"), each.adds_character, each.adds_states)
    yield from _suspects(form)
    for index, need in enumerate(form.vocabularies["needs"]):
        caution = form.caution_of(need)
        if caution and caution not in form.vocabularies["cautions"]:
            yield _problem(form.at("vocabularies/needs.yaml", "terms", index, "implies"), caution, "caution")


def _suspects(form: Form) -> Iterator[Problem]:
    """What must be recorded of suspects are characters of the catalogue, at stages that an entry can name."""
    if form.surface not in form.characters:
        yield _problem(form.at(SUSPECTS, "surface"), form.surface, "character")
        return
    for surface, expected in form.suspects.items():
        if surface not in form.characters[form.surface].states:
            yield _problem(form.at(SUSPECTS, "suspects", surface, key=True), surface, f"state of {form.surface}")
        for stage, ids in expected.records.items():
            if stage not in form.stages:
                yield _problem(form.at(SUSPECTS, "suspects", surface, stage, key=True), stage, "stage")
            for index, id in enumerate(ids):
                if id not in form.characters:
                    yield _problem(form.at(SUSPECTS, "suspects", surface, stage, index), id, "character")


def _unknown(form: Form, path: Path_, character: Character) -> Iterator[Problem]:
    """What a character says of itself comes from vocabularies."""
    for key, vocabulary in SAYS.items():
        word = getattr(character, key)
        if word and word not in form.vocabularies[vocabulary]:
            yield _problem(form.at(CATALOGUE, *path, key), word, f"word of {vocabulary}")
    for word in character.read_when:
        if word not in form.vocabularies["readings"]:
            yield _problem(form.at(CATALOGUE, *path, "read_when"), word, "word of readings")


def _states(form: Form, path: Path_, id: str, states: Iterable[str]) -> Iterator[Problem]:
    if id not in form.characters:
        yield _problem(form.at(CATALOGUE, *path), id, "character")
        return
    for word in sorted(set(map(str, states)) - set(form.characters[id].states)):
        yield _problem(form.at(CATALOGUE, *path, id), word, f"state of {id}")


def _problem(at: Mark, word: str, what: str) -> Problem:
    return Problem(at=at, message=f"`{word}` is no {what}.", mend="Write a word that the schema holds.")


CATALOGUE = "characters.yaml"
SUSPECTS = "suspects.yaml"
SAYS = {"part": "parts", "kind": "character-kinds", "proof": "proofs", "seen_by": "methods", "unit": "units"}
