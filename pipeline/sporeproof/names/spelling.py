"""The facts of ``schema/names.yaml``: terms, qualifiers, letters and genders that a name's form hangs on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from sporeproof.form.load import FormError
from sporeproof.text.read import plain, read_page

FILE = "names.yaml"


@dataclass(frozen=True)
class Spelling:
    """What the Code leaves to knowledge of the language; each field is a key of the file."""

    terms: dict[str, str]
    other_terms: dict[str, str]
    one_word: frozenset[str]
    ends_with: dict[str, str]
    qualifiers: frozenset[str]
    particles: frozenset[str]
    transcribed: dict[str, str]
    adjectives: list[dict[str, str]]
    unchanging: tuple[str, ...]
    nouns: frozenset[str]
    gender_of: dict[str, str]
    bent_nouns: dict[str, str]


@cache
def spelling_of(folder: Path) -> Spelling:
    """Return the facts of a schema's folder; raises :class:`FormError` where they are missing."""
    path = folder / FILE
    if not path.is_file():
        raise FormError(f"{path}: this file of the schema is missing.")
    raw = plain(read_page(path.read_bytes(), f"schema/{FILE}").root)
    return Spelling(
        terms=raw["terms"],
        other_terms=raw["other_terms"],
        one_word=frozenset(raw["one_word"]),
        ends_with=raw["ends_with"],
        qualifiers=frozenset(raw["qualifiers"]),
        particles=frozenset(raw["particles"]),
        transcribed=raw["transcribed"],
        adjectives=raw["adjectives"],
        unchanging=tuple(raw["unchanging"]),
        nouns=frozenset(raw["nouns"]),
        gender_of={genus: gender for gender, genera in raw["genders"].items() for genus in genera},
        bent_nouns=_bent(frozenset(raw["nouns"]), raw["adjectives"]),
    )


def _bent(nouns: frozenset[str], adjectives: list[dict[str, str]]) -> dict[str, str]:
    """Return what a noun would look like if it agreed like an adjective, with the noun."""
    found: dict[str, str] = {}
    for noun in nouns:
        for endings in adjectives:
            if ending := next((each for each in endings.values() if noun.endswith(each)), ""):
                found |= {noun.removesuffix(ending) + other: noun for other in endings.values()}
    return {bent: noun for bent, noun in found.items() if bent not in nouns}


def agreeing(genus: str, epithet: str, spelling: Spelling) -> str:
    """Return the epithet as it agrees with the genus; unchanged where nothing is known against it."""
    gender = spelling.gender_of.get(genus, "")
    if epithet in spelling.bent_nouns:
        return spelling.bent_nouns[epithet]
    if not gender or epithet in spelling.nouns or epithet.endswith(spelling.unchanging):
        return epithet
    for endings in spelling.adjectives:
        if ending := next((each for each in endings.values() if epithet.endswith(each)), ""):
            return epithet.removesuffix(ending) + endings[gender]
    return epithet


def said_of(word: str, table: dict[str, Any]) -> str:
    """Return what a table says of a word, in any case of its letters."""
    return str(table.get(word.lower(), ""))
