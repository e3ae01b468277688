"""Compares author citations by their teams, as the match service does.

Source: GBIF name matching service, version 2, as of 2026-05. The short forms of authors that no rule of letters
joins with the surname are from memory; the service has a longer list.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

EQUAL, DIFFERENT, UNKNOWN = "equal", "different", "unknown"

# Surnames as they are folded below.
SHORT = {"l": "linnaus", "dc": "candolle", "rchb": "reichenbach", "schltdl": "schlechtendal"}
SAME_START, ALIKE = 4, 0.9
YEAR = re.compile(r"(?<!\d)(1[5-9]\d\d|20\d\d)(?!\d)[a-z]?")
AFTER_IN = re.compile(r"\bin\b.*$")
SANCTIONING = re.compile(r"\s*:.*$")
BETWEEN = re.compile(r"\s*(?:&|,|;|\bex\.?\s|\bet\.?\s|\band\s)\s*")
FILIUS = re.compile(r"\s*\b(?:f|fil|filius)\.?$")
INITIALS = re.compile(r"^(?:[A-Z][a-z]?(?:\.[\s-]*|\s+(?=[A-Z])))+(?=[^\W\d_]{2})")
ONE_LETTER = str.maketrans({"ø": "o", "Ø": "O", "ß": "ss", "æ": "ae", "Æ": "Ae", "œ": "oe", "Œ": "Oe"})
TWO_LETTERS = (("ae", "a"), ("oe", "o"), ("ue", "u"))


@dataclass(frozen=True, slots=True)
class Author:
    """One author: the folded surname, the initials as one word, and whether it is the son (`f.`)."""

    surname: str
    initials: str = ""
    filius: bool = False


@dataclass(frozen=True, slots=True)
class Citation:
    """The teams of an author citation, those named before `ex` counted in; the year is empty where none stands."""

    combination: tuple[Author, ...] = ()
    basionym: tuple[Author, ...] = ()
    year: str = ""
    capitals: frozenset[str] = frozenset()


def authors_compared(one: str, other: str) -> str:
    """Return whether two citations name the same authors: EQUAL, DIFFERENT, or UNKNOWN where one says nothing."""
    left, right = citation(one), citation(other)
    told = _teams(left.combination, right.combination)
    if told == UNKNOWN:
        told = _teams(left.basionym, right.basionym)
    if told == UNKNOWN and not (left.basionym and right.basionym):
        told = _teams(left.combination or left.basionym, right.combination or right.basionym)
    if told != EQUAL and left.year and right.year:
        return _years(left, right)
    return told


def _years(left: Citation, right: Citation) -> str:
    """Different years part two citations; the same year joins them where the letters allow it."""
    if left.year != right.year:
        return DIFFERENT
    silent = not (left.combination or left.basionym) or not (right.combination or right.basionym)
    return EQUAL if silent or left.capitals & right.capitals else DIFFERENT


def _teams(left: tuple[Author, ...], right: tuple[Author, ...]) -> str:
    """Any author in both makes two teams equal."""
    if not left or not right:
        return UNKNOWN
    return EQUAL if any(_same(one, other) for one in left for other in right) else DIFFERENT


def _same(one: Author, other: Author) -> bool:
    if one.filius != other.filius:
        return False
    if one.initials and other.initials and not _either_starts(one.initials, other.initials):
        return False
    return _same_surname(one.surname, other.surname)


def _same_surname(one: str, other: str) -> bool:
    if one == other or _either_starts(one, other):
        return True
    if len(one) >= SAME_START and one[:SAME_START] == other[:SAME_START]:
        return True
    from rapidfuzz.distance import JaroWinkler

    return JaroWinkler.similarity(one, other) > ALIKE


def _either_starts(one: str, other: str) -> bool:
    return one.startswith(other) or other.startswith(one)


@lru_cache(maxsize=65536)
def citation(text: str) -> Citation:
    """Return the teams of an author citation: `(Bull. : Fr.) P. Kumm., 1871` has two, and a year."""
    year = YEAR.search(text)
    bare = YEAR.sub("", text)
    opened, closed = bare.find("("), bare.rfind(")")
    inner, outer = (bare[opened + 1 : closed], bare[closed + 1 :]) if 0 <= opened < closed else ("", bare)
    capitals = frozenset(sign for sign in bare if sign.isupper())
    return Citation(_team(outer), _team(inner), year[1] if year else "", capitals)


def _team(text: str) -> tuple[Author, ...]:
    """Return the authors of one side of the brackets, without who sanctioned the name and where it appeared."""
    kept = SANCTIONING.sub("", AFTER_IN.sub("", text)).strip(" ,.[]")
    dotted = kept + ("." if text.strip().endswith(".") else "")
    return tuple(
        found for part in BETWEEN.split(dotted) if (found := _author(part)) and found.surname not in {"", "al"}
    )


def _author(text: str) -> Author | None:
    """Return one author; `P. Kumm.` and `P.Kumm.` are the same."""
    bare = text.strip(" ,;[]")
    if not bare:
        return None
    filius = len(bare) > 2 and FILIUS.search(bare) is not None  # noqa: PLR2004
    bare = FILIUS.sub("", bare) if filius else bare
    found = INITIALS.match(bare)
    initials, surname = (found[0], bare[found.end() :]) if found else ("", bare)
    folded = folded_author(surname)
    return Author(SHORT.get(folded, folded), "".join(sign for sign in initials.lower() if sign.isalpha()), filius)


def folded_author(text: str) -> str:
    """Return a surname in plain small letters: signs off letters, `ae`, `oe`, `ue` to one letter, no punctuation."""
    plain = unicodedata.normalize(
        "NFKD", text.replace("ø", "o").replace("ß", "ss").replace("æ", "ae").replace("œ", "oe")
    )
    letters = "".join(sign for sign in plain.lower() if sign.isascii() and (sign.isalpha() or sign == " "))
    for two, one in TWO_LETTERS:
        letters = letters.replace(two, one)
    return " ".join(letters.split())


def normal_authorship(text: str) -> str:
    """Return a citation as two are held against each other letter by letter."""
    return re.sub(r"[\W_]+", " ", folded_author(YEAR.sub("", text))).strip()
