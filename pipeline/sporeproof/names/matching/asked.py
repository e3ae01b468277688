"""Reads a name as it is asked for: what of it is looked up, and what of it says that it is meant otherwise.

The name parser reads; what it lets pass is held back here: a note in whose sense a name is meant, a mark of
doubt, a name of a group, a hybrid formula, a slash. A name with such a mark is looked up like any other, and
never counts as settled.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from sporeproof.names.matching.authors import DIFFERENT, authors_compared
from sporeproof.names.matching.normal_form import folded
from sporeproof.names.matching.ranks import SPECIES_AGGREGATE, UNRANKED, is_below_genus, rank_read

# The higher taxa that a query may name, from the lowest to the highest, as the service falls back on them.
HIGHER = (
    "species", "genus", "subfamily", "subtribe", "tribe", "family", "superfamily", "order", "class", "phylum",
    "kingdom",
)  # fmt: skip
IN_BRACKETS = re.compile(r"\[[^\]]*\]|\{[^}]*\}")
CONTROL = re.compile(r"[\x00-\x1f\x7f]")
# Half a letter, left over where a text was read wrongly: the parser takes none, and what stood there is a doubt.
UNREADABLE = re.compile(r"[\ud800-\udfff]")
# Absent, as the service reads it.
NOTHING = frozenset({"", "null", "NULL", "\\N"})
# Marks that the parser takes for a part of the name or passes over.
OWN_MARKS = re.compile(
    r"(?<![^\s(,;])((?i:cf\.?|aff\.?|sensu|auct\.?|agg\.?|group|complex)|s\.\s?l\.|s\.\s?lat\.|s\.\s?str\.|s\.\s?s\.|"
    r"p\.\s?p\.|gr\.|nr\.?|ined\.|nom\.\s?prov\.|prov\.)(?!\w)|[?/]|(?<!\S)(?:S\.\s?(?:L|S|LAT|STR)|P\.\s?P)\.$"
)
BRACKETS = re.compile(r"[\[\]{}]")
# Small words that a name may have beside its epithets: terms of ranks, and what stands among the names of authors.
TERMS = ("var", "f", "fo", "forma", "subsp", "ssp", "subvar", "subf", "convar", "subg", "subgen", "sect", "ser")
AMONG_AUTHORS = (
    "ex", "et", "in", "and", "al", "apud", "bis", "fil", "filius", "nom", "cons", "d", "l", "e", "y", "i", "t", "da",
    "de", "del", "della", "den", "der", "di", "do", "dos", "du", "la", "le", "las", "los", "van", "von", "vom", "zu",
    "zum", "zur", "ter", "ten", "te", "af", "st",
)  # fmt: skip
SMALL = frozenset({*TERMS, *AMONG_AUTHORS})
WORD, NUMBER, YEAR = re.compile(r"[^\W\d_]+"), re.compile(r"\d+"), re.compile(r"1[5-9]\d\d|20\d\d")
NO_SIGN_OF_AUTHORS = re.compile(r"[^\w\s.,&:()'’\u2013-]")
# A note that says no more than that the name stands.
NO_DOUBT = frozenset({"nom. cons."})
QUERY_TYPES = frozenset({"SCIENTIFIC", "INFORMAL"})


@dataclass(frozen=True, slots=True)
class Asked:
    """A name as it is looked up.

    ``canonical`` is genus and epithets without author, rank term and hybrid sign, or the whole text where it is
    no ``scientific`` name. ``rank`` is empty where nobody says it. ``marks`` are what makes it doubtful.
    ``is_indet`` tells of a genus with `sp.` behind it. ``authors`` is what the parser read of the authorship.
    """

    verbatim: str
    canonical: str
    authorship: str = ""
    rank: str = ""
    scientific: bool = True
    is_indet: bool = False
    is_hybrid: bool = False
    marks: tuple[str, ...] = ()
    higher: dict[str, str] = field(default_factory=dict)
    authors: Any = None

    @property
    def kingdom(self) -> str:
        """The kingdom that was asked for, empty where none was."""
        return self.higher.get("kingdom", "")

    @property
    def is_autonym(self) -> bool:
        """Tell whether the last epithet repeats the one before it."""
        words = self.canonical.split()
        return len(words) > 2 and words[-1] == words[-2]  # noqa: PLR2004


def asked_all(names: Iterable[Given]) -> list[Asked]:
    """Return what is looked up for many names; the parser reads them in one call."""
    from nameparser import parse_all

    given = list(names)
    wholes = [_whole(each) for each in given]
    parsed = parse_all(wholes)
    return [_read(*each) for each in zip(given, wholes, parsed, strict=True)]


@dataclass(frozen=True, slots=True)
class Given:
    """A name as it stands somewhere: the text, its authorship, its rank, and the higher taxa told beside it."""

    name: str
    authorship: str = ""
    rank: str = ""
    higher: dict[str, str] = field(default_factory=dict)


def _whole(given: Given) -> str:
    """Return the text that is parsed: clean, with its authorship."""
    name, authorship = _clean(given.name), _clean(given.authorship)
    is_there = authorship.replace(" ", "") in name.replace(" ", "")
    return f"{name} {authorship}".strip() if name and not is_there else name


def _clean(text: str) -> str:
    """Text in square or curly brackets goes, underscores are blanks, blanks stand once."""
    if text.strip() in NOTHING:
        return ""
    return _plain(IN_BRACKETS.sub(" ", text))


def _plain(text: str) -> str:
    kept = UNREADABLE.sub("?", CONTROL.sub(" ", text)).replace("_", " ")
    return unicodedata.normalize("NFC", " ".join(kept.split()))


def _read(given: Given, whole: str, parsed: Any) -> Asked:
    """Return a name as it is looked up, from what the parser made of it."""
    higher = {rank: said for rank in HIGHER if (said := _clean(given.higher.get(rank, "")))}
    said_rank = rank_read(given.rank)
    bare = Asked(given.name, whole, _clean(given.authorship), said_rank, higher=higher, marks=tuple(_marks(given)))
    if parsed is None:
        return replace(bare, scientific=False)
    if not hasattr(parsed, "genus"):
        return replace(bare, canonical=parsed.taxon or whole, is_indet=True, rank=said_rank or parsed.taxon_rank or "")
    if parsed.type not in QUERY_TYPES:
        return replace(bare, scientific=False)
    canonical = str(parsed.canonical_name_minimal())
    rank = said_rank or (parsed.rank if is_below_genus(parsed.rank) else "")
    marks = (*bare.marks, *_noted(parsed))
    return replace(
        bare,
        canonical=_expanded(canonical, higher),
        rank="" if rank == UNRANKED else rank,
        authorship=bare.authorship or _authorship(parsed),
        is_hybrid=bool(parsed.notho),
        marks=tuple(dict.fromkeys(marks or _odd(given, canonical))),
        authors=parsed,
    )


def _expanded(canonical: str, higher: dict[str, str]) -> str:
    """Return a name whose genus was shortened to its first letter with the genus that is told beside it."""
    first, _, rest = canonical.partition(" ")
    genus = higher.get("genus", "").split(" ")[0]
    if rest and first.endswith(".") and genus.startswith(first[:-1]):
        return f"{genus} {rest}"
    return canonical


def _authorship(parsed: Any) -> str:
    """Return the author citation that stands in the name itself."""
    return str(parsed.authorship_complete() or "")


def _marks(given: Given) -> Iterator[str]:
    """Yield the marks in a text that say it is meant otherwise than it stands; those in brackets count too."""
    for found in OWN_MARKS.finditer(_all_said(given)):
        yield found[0]


def _all_said(given: Given) -> str:
    """Return all that is said of a name, with what stands in brackets."""
    return _plain(BRACKETS.sub(" ", f"{given.name} {given.authorship}"))


def _odd(given: Given, canonical: str) -> Iterator[str]:
    """Yield what stands beside a name and is no citation of authors: a number, a sign, a word more, another author."""
    rest = _beside(_all_said(given), canonical)
    yield from (word for word in WORD.findall(rest) if word.islower() and word not in SMALL)
    yield from (number for number in NUMBER.findall(rest) if not YEAR.fullmatch(number))
    yield from NO_SIGN_OF_AUTHORS.findall(_all_said(given))
    own = _beside(_clean(given.name), canonical)
    if given.authorship and any(map(str.isupper, own)) and authors_compared(own, _clean(given.authorship)) == DIFFERENT:
        yield f"{own} and {given.authorship}"


def _beside(text: str, canonical: str) -> str:
    """Return what a text holds beside the words of the name itself."""
    words = folded(canonical).lower().split()
    rest: list[str] = []
    for each in text.split():
        if (word := folded(each).lower().strip(" ()")) in words:
            words.remove(word)
            if rest and rest[-1].strip(".") in TERMS:
                rest.pop()
        else:
            rest.append(each)
    return " ".join(rest)


def _noted(parsed: Any) -> Iterator[str]:
    """Yield the marks that the parser found."""
    yield from (parsed.epithet_qualifier or {}).values()
    for note in (parsed.taxonomic_note, parsed.nomenclatural_note):
        if note and note not in NO_DOUBT:
            yield note
    if parsed.doubtful and not parsed.epithet_qualifier:
        yield "?"
    if parsed.rank == SPECIES_AGGREGATE:
        yield "agg."
