"""The form of a scientific name: what in it cannot stand so, by the Code (ICNafp, Shenzhen 2018 and Madrid 2025).

The rules are in our own words and their article numbers from memory. A name parser is asked last, as a second
opinion: it lets much pass that the Code does not (a small genus, signs on letters), and knows much that we do not.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from sporeproof.names.spelling import Spelling, agreeing, said_of, spelling_of

BINOMIAL = 2
TRINOMIAL = 4
DIAERESIS = "\u0308"
VOWELS = frozenset("aeiouy")
BETWEEN_AUTHORS = re.compile(r"\s*(&|:|,|\bex\b|\bin\b|\bet\b(?!\s*al\.))\s*")
NOT_OF_AUTHORS = re.compile(r"[^\w\s.,&:()'’-]|[\d_]")
AUTHOR_WORD = re.compile(r"[^\W\d_][\w.'’-]*")


@dataclass(frozen=True, slots=True)
class Fault:
    """Something in a name that cannot stand: the kind, the word as written, what is wrong, how it should be.

    ``right`` is the word as it should be, empty where nobody can know.
    """

    kind: str
    word: str
    says: str
    article: str
    right: str = ""


@dataclass(frozen=True, slots=True)
class Parts:
    """A name cut into its words, without qualifiers. ``rest`` is all that follows the second word."""

    genus: str
    epithet: str
    rest: tuple[str, ...]

    @property
    def last(self) -> str:
        """The epithet below the species, empty where there is none."""
        return self.rest[1] if len(self.rest) > 1 else ""

    @property
    def epithets(self) -> list[str]:
        """The epithets that are there."""
        return [each for each in (self.epithet, self.last) if each]


@lru_cache(maxsize=256)
def faults(name: str, authorship: str, rank: str, folder: Path, *, held: bool = False) -> tuple[Fault, ...]:
    """Return the faults of a name. ``rank`` is empty where the name itself says it, as with a former one.

    A name that is ``held`` by a checklist needs no parser to say that it is one.
    """
    spelling = spelling_of(folder)
    words = name.split()
    if words[-1:] == [spelling.ends_with.get(rank)]:
        words.pop()
    qualified = list(_qualifiers(words, spelling))
    kept = [word for each in words if (word := each.rstrip("?")) and word not in spelling.qualifiers]
    genus, epithet = [*kept, "", ""][:BINOMIAL]
    parts = Parts(genus, epithet, tuple(kept[BINOMIAL:]))
    found = [*qualified, *_signs(parts, spelling), *_letters(parts)]
    if not any(each.kind in {"qualifier", "foreign-sign"} for each in found):
        found += _layout(parts, rank, spelling)
    if not found:
        found += _grammar(parts, authorship, spelling)
    found += _citation(authorship, spelling)
    return tuple(found) if found or held else tuple(_second_opinion(kept, parts))


def _qualifiers(words: list[str], spelling: Spelling) -> Iterator[Fault]:
    for word in words:
        sign = word if word in spelling.qualifiers else "?" if word.endswith("?") else ""
        if sign:
            yield Fault("qualifier", sign, f"`{sign}` is not part of a name", "Art. 23.1")


def _signs(parts: Parts, spelling: Spelling) -> Iterator[Fault]:
    """Yield letters with a sign, and what is no letter, once a word."""
    for word in (parts.genus, *parts.epithets):
        odd = [at for at, sign in enumerate(word) if not (sign.isascii() and sign.isalpha()) and sign != "-"]
        foreign = [word[at] for at in odd if not _is_latin(word[at], spelling)]
        signed = [word[at] for at in odd if _is_latin(word[at], spelling) and not _spoken_apart(word, at)]
        if foreign:
            yield Fault("foreign-sign", word, f"`{foreign[0]}` is not part of a name", "Art. 60")
        if signed:
            right = "".join(_plain_letter(sign, spelling) if sign in signed else sign for sign in word)
            yield Fault("diacritics", word, f"`{signed[0]}` is a letter with a sign", "Art. 60.7", right)


def _is_latin(sign: str, spelling: Spelling) -> bool:
    base = unicodedata.normalize("NFKD", sign)[0]
    return sign.isalpha() and (bool(said_of(sign, spelling.transcribed)) or base.isascii())


def _plain_letter(sign: str, spelling: Spelling) -> str:
    plain = said_of(sign, spelling.transcribed) or unicodedata.normalize("NFKD", sign)[0]
    return plain.capitalize() if sign.isupper() else plain


def _spoken_apart(word: str, at: int) -> bool:
    """A diaeresis after another vowel says that the two are spoken apart (Art. 60.7)."""
    parted = unicodedata.normalize("NFD", word[at])
    return parted[1:] == DIAERESIS and parted[0] in VOWELS and word[at - 1 : at].lower() in VOWELS


def _letters(parts: Parts) -> Iterator[Fault]:
    """Yield capitals and hyphens that stand in the wrong place."""
    right = parts.genus[:1].upper() + parts.genus[1:].lower()
    if parts.genus != right:
        says = "the genus starts with a capital, and the rest of it is small"
        yield Fault("genus-not-capital", parts.genus, says, "Art. 20.1", right)
    for word in parts.epithets:
        if word != word.lower():
            yield Fault("epithet-not-lower-case", word, "an epithet is small throughout", "Rec. 60F", word.lower())
    for word in (parts.genus, *parts.epithets):
        if _is_hyphen_wrong(word):
            says = "the parts beside the hyphen are no words of their own"
            yield Fault("hyphen", word, says, "Art. 60.11", word.replace("-", ""))


def _is_hyphen_wrong(word: str) -> bool:
    """A first part that ends in a linking o is no word; the hyphen stays where it parts two equal vowels."""
    halves = pairwise(word.split("-"))
    return any(not left or not right or (left[-1] == "o" and right[0] != "o") for left, right in halves)


def _layout(parts: Parts, rank: str, spelling: Spelling) -> Iterator[Fault]:
    """Yield what is missing or too much for the rank, or which term stands wrong."""
    if rank in spelling.one_word:
        if parts.epithet:
            yield Fault("not-a-name", parts.epithet, "the name of a genus is one word", "Art. 20.1")
    elif not parts.epithet:
        yield Fault("words-missing", parts.genus, "an epithet is missing after the genus", "Art. 23.1")
    elif len(parts.rest) > TRINOMIAL - BINOMIAL or (len(parts.rest) == 1 and _like_an_author(parts.rest[0])):
        more = " ".join(parts.rest)
        yield Fault("not-a-name", more, "more follows than a name has", "Art. 23.1")
    else:
        yield from _below_species(parts, rank, spelling)


def _like_an_author(word: str) -> bool:
    """A last word such as `Fr.` or `Batsch`; a term such as `var.` is small."""
    return word != word.lower() and (word.endswith(".") or word.istitle())


def _below_species(parts: Parts, rank: str, spelling: Spelling) -> Iterator[Fault]:
    wanted, terms = spelling.terms.get(rank, ""), ", ".join(spelling.terms.values())
    term = parts.rest[0] if parts.rest else ""
    meant = term if term in spelling.terms.values() else said_of(term, spelling.other_terms)
    if not term:
        if wanted:
            yield Fault("words-missing", parts.epithet, f"`{wanted}` and a third word are missing", "Art. 24.1")
    elif not meant:
        yield Fault("rank-term", term, f"a third word has one of {terms} before it", "Art. 24.1")
    elif not parts.last:
        yield Fault("words-missing", term, f"nothing follows `{term}`", "Art. 24.1")
    elif rank and meant != wanted:
        says = f"the term for {rank} is `{wanted}`" if wanted else f"the name of a {rank} has two words"
        yield Fault("rank-term", term, says, "Art. 24.1", wanted)
    elif term != meant:
        yield Fault("rank-term", term, f"the term is written `{meant}`", "Rec. 5A", meant)


def _grammar(parts: Parts, authorship: str, spelling: Spelling) -> Iterator[Fault]:
    """Yield what needs whole words to judge: repeated ones, and agreement."""
    if parts.epithet == parts.genus.lower():
        yield Fault("tautonym", parts.epithet, "the epithet repeats the genus", "Art. 23.4")
        return
    if parts.last and parts.last == parts.epithet and authorship:
        says = "what repeats the epithet of the species has no author"
        yield Fault("autonym-with-author", authorship, says, "Art. 26.1")
    for word in parts.epithets:
        if word != (right := agreeing(parts.genus, word, spelling)):
            yield Fault("gender", word, _why(parts.genus, word, spelling), "Art. 23.5", right)


def _why(genus: str, word: str, spelling: Spelling) -> str:
    if word in spelling.bent_nouns:
        return f"`{spelling.bent_nouns[word]}` is a noun and keeps its ending"
    return f"{genus} is {spelling.gender_of[genus]}"


def _citation(authorship: str, spelling: Spelling) -> Iterator[Fault]:
    """Yield the first thing that is wrong with an author citation."""
    trouble = _brackets(authorship) or _between(authorship) or _authors(authorship, spelling)
    if trouble:
        yield Fault("authorship-form", authorship, *trouble)


def _brackets(text: str) -> tuple[str, str] | None:
    """Brackets hold who first named it, stand first, and are followed by who moved the name."""
    opened, closed = text.count("("), text.count(")")
    says = ""
    if opened != closed:
        says = "a bracket is opened and not closed" if opened > closed else "a bracket is closed and not opened"
    elif opened and (not text.lstrip().startswith("(") or opened > 1):
        says = "brackets stand once, and first"
    elif opened and not re.search(r"\(.*\w.*\)", text):
        says = "nobody stands in the brackets"
    elif opened and not re.search(r"\)\s*\S", text):
        says = "nobody stands after the brackets, so who moved the name is missing"
    return (says, "Art. 49.1") if says else None


def _between(text: str) -> tuple[str, str] | None:
    """On both sides of `&`, `ex`, `in`, a comma and a colon stands somebody."""
    for side in re.split(r"[()]", text):
        names = BETWEEN_AUTHORS.split(side.strip())
        for at, sign in enumerate(names[1::2]):
            if not names[2 * at].strip():
                return f"nobody stands before `{sign}`", "Art. 46"
            if not names[2 * at + 2].strip():
                return f"nobody stands after `{sign}`", "Art. 46"
    return None


def _authors(text: str, spelling: Spelling) -> tuple[str, str] | None:
    if odd := NOT_OF_AUTHORS.search(text):
        return f"`{odd[0]}` is no part of an author citation", "Art. 46"
    for word in AUTHOR_WORD.findall(text):
        if word not in spelling.particles and not re.split("['’]", word)[-1][:1].isupper():
            return f"`{word}` starts small, and an author starts with a capital", "Rec. 46A"
    return None


# What the parser made of names that are about to be asked for.
_AHEAD: dict[str, Any] = {}


def read_ahead(names: Iterable[str]) -> None:
    """Have the parser read many names in one call, five times as fast as one by one; the last batch is kept."""
    wanted = sorted({" ".join(name.split()) for name in names})
    _AHEAD.clear()
    if not wanted:
        return
    from nameparser import parse_all

    _AHEAD.update(zip(wanted, parse_all(wanted), strict=True))


def _second_opinion(kept: list[str], parts: Parts) -> Iterator[Fault]:
    """Yield one fault where the parser does not read the name as we do."""
    from nameparser import ParsedName, parse_all

    own, whole = " ".join([parts.genus, *parts.epithets]), " ".join(kept)
    read = _AHEAD[whole] if whole in _AHEAD else parse_all([whole])[0]
    sound = isinstance(read, ParsedName) and (read.type, read.state) == ("SCIENTIFIC", "COMPLETE")
    canonical = read.canonical_name_minimal() if isinstance(read, ParsedName) else None
    if not sound or _folded(canonical or "") != _folded(own):
        yield Fault("not-a-name", " ".join(kept), "it does not read as a scientific name", "Art. 23.1")


def _folded(text: str) -> str:
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
