"""A word that people write into entries is none to YAML.

## Why
An unquoted `no` or `off` is read as something else, so whoever uses the state writes a value that is lost.

## Mend
Choose another id, such as `absent` instead of `no`.

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
      present: {means: There}
      no: {means: Not there}
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
      present: {means: There}
      absent: {means: Not there}
```

## Source
YAML 1.1, the types bool, null, int, float and timestamp, from memory
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Problem
from sporeproof.form.load import Form
from sporeproof.form.shapes import Shape
from sporeproof.text.read import read_as

# The word, the file of the schema, the path to it, and whether it is a key there.
Word = tuple[str, str, tuple[str | int, ...], bool]


@rule("dataset.state-not-a-word", "error", per="dataset")
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each id that people type and YAML does not read as a word."""
    for word, file, path, is_key in [*_of_catalogue(form), *_of_vocabularies(form)]:
        if taken := read_as(word):
            yield Problem(
                at=form.at(file, *path, key=is_key),
                message=f"`{word}` is written into entries, but YAML reads it as {taken}.",
                mend="Choose an id that is read as a word.",
            )


def _of_catalogue(form: Form) -> Iterator[Word]:
    for index, character in enumerate(form.characters.values()):
        yield str(character.id), CATALOGUE, ("characters", index, "id"), False
        for id in character.states:
            yield str(id), CATALOGUE, ("characters", index, "states", str(id)), True


def _of_vocabularies(form: Form) -> Iterator[Word]:
    """Only what people type into entries and the files beside them; what is computed never meets YAML."""
    typed = {"stages"} | _named(form.entry) | _named(form.companions)
    for name in sorted(typed):
        for index, id in enumerate(form.vocabularies[name]):
            yield str(id), f"vocabularies/{name}.yaml", ("terms", index, "id"), False


def _named(shape: Shape) -> set[str]:
    """Return the vocabularies that a shape and all below it refer to."""
    below = [*shape.keys.values(), *shape.options, *([shape.of] if shape.of else [])]
    return {shape.vocabulary, shape.key_vocabulary}.union(*map(_named, below)) - {""}


CATALOGUE = "characters.yaml"
