"""Loads the schema's folder into one :class:`Form`, and answers the questions that rules ask of it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from sporeproof.findings import Mark
from sporeproof.form.catalogue import Character, Implication, characters_of, implications_of
from sporeproof.form.shapes import Shape, shape_of
from sporeproof.form.suspects import Expected, expected_of
from sporeproof.text.places import locate
from sporeproof.text.read import Page, plain, read_page


class FormError(Exception):
    """The schema itself cannot be used; the message is for the person who edits it."""


@dataclass(frozen=True, slots=True)
class Term:
    """A word of a vocabulary; ``more`` holds what only its own vocabulary gives."""

    id: str
    title: str
    definition: str
    flags: frozenset[str] = frozenset()
    more: dict[str, Any] = field(default_factory=dict)


Vocabulary = dict[str, Term]


@dataclass(frozen=True, eq=False)
class Form:
    """The schema: shapes, vocabularies, catalogue and table schemas."""

    folder: Path
    vocabularies: dict[str, Vocabulary]
    characters: dict[str, Character]
    implications: list[Implication]
    entry: Shape
    companions: Shape
    surface: str
    suspects: dict[str, Expected]
    pages: dict[str, Page] = field(default_factory=dict, repr=False)

    def at(self, file: str, *path: str | int, key: bool = False) -> Mark:
        """Return where something stands in a file of the schema, or where its key does."""
        page = self.pages[file]
        return locate(page.text, page.file, path, key)

    def flagged(self, vocabulary: str, id: str, flag: str) -> bool:
        """Tell whether a word of a vocabulary bears a flag; an unknown word bears none."""
        term = self.vocabularies[vocabulary].get(id)
        return term is not None and flag in term.flags

    def is_dangerous(self, verdict: str) -> bool:
        """Tell whether the verdict is deadly, poisonous or disputed."""
        return self.flagged("verdicts", verdict, "dangerous")

    def is_toxic(self, verdict: str) -> bool:
        """Tell whether the verdict is deadly or poisonous."""
        return self.flagged("verdicts", verdict, "toxic")

    def is_deadly(self, verdict: str) -> bool:
        """Tell whether the verdict is deadly."""
        return self.flagged("verdicts", verdict, "deadly")

    def is_edible(self, verdict: str) -> bool:
        """Tell whether people may act on the verdict by eating, with or without conditions."""
        return self.flagged("verdicts", verdict, "edible")

    def is_unsettled(self, verdict: str) -> bool:
        """Tell whether nobody has settled whether the taxon can be eaten."""
        return self.flagged("verdicts", verdict, "unsettled")

    def is_conditional(self, verdict: str) -> bool:
        """Tell whether the verdict holds under conditions only."""
        return self.flagged("verdicts", verdict, "conditional")

    def is_ordinary(self, need: str) -> bool:
        """Tell whether a need is one that any wild fungus has."""
        return self.flagged("needs", need, "ordinary")

    def caution_of(self, need: str) -> str:
        """Return the caution that a need implies, empty where there is none."""
        term = self.vocabularies["needs"].get(need)
        return str(term.more.get("implies", "")) if term else ""

    def stage_of(self, need: str) -> str:
        """Return the one stage that may be accepted with a need, empty where any may."""
        term = self.vocabularies["needs"].get(need)
        return str(term.more.get("accepts", "")) if term else ""

    def cautions_flagged(self, flag: str) -> list[str]:
        """Return the cautions that bear a flag."""
        return [id for id, term in self.vocabularies["cautions"].items() if flag in term.flags]

    def most_cautious(self, verdicts: Iterable[str]) -> str:
        """Return the strictest of some verdicts: the first in the order of the vocabulary."""
        known = list(self.vocabularies["verdicts"])
        return min((each for each in verdicts if each in known), key=known.index, default="")

    def is_stricter(self, verdict: str, other: str) -> bool:
        """Tell whether a verdict is more cautious than another one."""
        return verdict != other and self.most_cautious([verdict, other]) == verdict

    def weight(self, character: Character) -> int:
        """Return the weight of proof: decisive 2, firm 1, supporting 0."""
        return int(self.vocabularies["proofs"][character.proof].more["weight"])

    def level_of(self, character: Character) -> str:
        """Return the level at which the character can be seen; empty for one that is never counted."""
        return str(self.vocabularies["methods"][character.seen_by].more.get("level", ""))

    @cached_property
    def hints(self) -> tuple[str, ...]:
        """What an entry may give as a hint: a character, or a key that tells of the setting."""
        return (*self.characters, *(key for key, shape in self.entry.keys.items() if shape.hint))

    @cached_property
    def stages(self) -> tuple[str, ...]:
        """The stages that an entry can name, youngest first."""
        return _stages(self.vocabularies["stages"])

    @cached_property
    def needed_stages(self) -> frozenset[str]:
        """The stages without which a value by stage is unknown as an appearance."""
        return frozenset(id for id in self.stages if self.flagged("stages", id, "needed"))

    @cached_property
    def tables(self) -> dict[str, dict[str, Any]]:
        """The Frictionless Table Schemas by table, enumerations filled in from the vocabularies."""
        folder = self.folder / "tables"
        return {path.stem: self._table(path) for path in sorted(folder.glob("*.json"))}

    def _table(self, path: Path) -> dict[str, Any]:
        schema: dict[str, Any] = json.loads(path.read_text("utf-8"))
        schema["fields"] = [self._field(each) for each in schema["fields"]]
        return schema

    def _field(self, raw: dict[str, Any]) -> dict[str, Any]:
        given = dict(raw)
        constraints = dict(given.pop("constraints", {}))
        if vocabulary := given.pop("vocabulary", ""):
            constraints["enum"] = list(self.vocabularies[vocabulary])
        if vocabulary := given.pop("listOf", ""):
            one = "|".join(self.vocabularies[vocabulary])
            constraints["pattern"] = f"^(?:{one})(?:\\|(?:{one}))*$"
        given.pop("list", None)
        return {**given, "constraints": constraints} if constraints else given


FILES = ("entry.yaml", "companions.yaml", "characters.yaml", "suspects.yaml")


def load_form(folder: Path) -> Form:
    """Return the form of a schema's folder; raises :class:`FormError` where it cannot be used at all."""
    pages = {name: _page(folder, name) for name in FILES}
    vocabularies = {}
    for path in sorted((folder / "vocabularies").glob("*.yaml")):
        pages[f"vocabularies/{path.name}"] = page = _page(folder, f"vocabularies/{path.name}")
        vocabularies[path.stem] = _vocabulary(page)
    if not vocabularies:
        raise FormError(f"{folder}: there are no vocabularies here. Point --dataset at a checklist's folder.")
    stages = _stages(vocabularies["stages"])
    try:
        catalogue = plain(pages["characters.yaml"].root)
        suspects = plain(pages["suspects.yaml"].root)
        return Form(
            folder,
            vocabularies,
            _uncircled(characters_of(catalogue["characters"])),
            implications_of(catalogue["implications"]),
            shape_of(plain(pages["entry.yaml"].root), stages),
            shape_of(plain(pages["companions.yaml"].root), stages),
            str(suspects["surface"]),
            expected_of(suspects["suspects"]),
            pages,
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise FormError(f"{folder}: a file of the schema lacks something or says too much: {error}") from error


def _uncircled(characters: dict[str, Character]) -> dict[str, Character]:
    """Refuse a character that depends on itself, at once or by a detour: nothing could ever apply."""
    for id, character in characters.items():
        above, steps = character.applies_if, 0
        while above and above[0] in characters and steps <= len(characters):
            above, steps = characters[above[0]].applies_if, steps + 1
        if steps > len(characters):
            raise ValueError(f"characters.yaml: {id} depends on itself through applies_if")
    return characters


def _stages(vocabulary: Vocabulary) -> tuple[str, ...]:
    return tuple(id for id, term in vocabulary.items() if "unstaged" not in term.flags)


def _page(folder: Path, name: str) -> Page:
    path = folder / name
    if not path.is_file():
        raise FormError(f"{path}: this file of the schema is missing.")
    page = read_page(path.read_bytes(), f"schema/{name}")
    if page.root is None:
        trouble = page.troubles[0]
        raise FormError(f"{trouble.at.file}:{trouble.at.line}: {trouble.kind}: {' '.join(trouble.words)}")
    return page


def _vocabulary(page: Page) -> Vocabulary:
    raw = plain(page.root)
    return {each["id"]: _term(each) for each in raw["terms"]}


def _term(raw: dict[str, Any]) -> Term:
    more = {key: value for key, value in raw.items() if key not in {"id", "title", "definition", "flags"}}
    flags = frozenset(raw.get("flags") or ())
    return Term(str(raw["id"]), str(raw["title"]), str(raw["definition"]), flags, more)
