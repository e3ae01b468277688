"""The normal form of a name: what is left when spellings that people mix up are made one.

Source: normaliser of the GBIF name matching service as of 2026-06. The genus stays as it is; of each epithet the
ending goes, and letters that are often doubled or exchanged are joined.
"""

from __future__ import annotations

import re
import unicodedata

FOLDED = str.maketrans({"æ": "ae", "Æ": "Ae", "œ": "oe", "Œ": "Oe", "ø": "o", "Ø": "O", "ß": "ss", "ł": "l", "Ł": "L"})
DROPPED = re.compile(r"[?!\"'`’‘_-]")
TO_BLANK = re.compile(r"[,.:;]")
HYBRID = re.compile(r"×\s*|(?<!\S)x(?=\s|[A-Z])\s*")
LONG_ENDINGS = ("arum", "orum")
TWO_ENDINGS = ("us", "um", "ae", "am", "is", "os", "as", "ii", "ei", "yi")
ONE_ENDINGS = ("i", "o", "a", "e")
NOT_A_CONSONANT = frozenset("aeiouy")
VOWEL_I = re.compile(r"(?<!^)[jyi]+")
DOUBLED = re.compile(r"([a-z])\1")
SILENT_H = re.compile(r"([trg])h")
EARLIEST_BLANK = 2


def stem(epithet: str) -> str:
    """Return an epithet without its ending and with exchanged letters joined: `perrierii` gives `perier`.

    Plain looks before regular expressions: a backbone has millions of epithets.
    """
    kept = _without_ending(_one_gender(epithet))
    if "y" in kept or "j" in kept or "ii" in kept:
        kept = VOWEL_I.sub("i", kept)
    kept = DOUBLED.sub(r"\1", kept)
    return SILENT_H.sub(r"\1", kept) if "h" in kept else kept


def _one_gender(epithet: str) -> str:
    """Write what changes more than its ending with the gender as one of its forms."""
    if epithet.endswith(("gous", "goum")):
        return epithet[:-3]
    if epithet.endswith("trix"):
        return f"{epithet[:-4]}tor"
    for ending in ("ra", "rum"):
        before = epithet[-len(ending) - 1 : -len(ending)]
        if epithet.endswith(ending) and before.isascii() and before.isalpha() and before not in NOT_A_CONSONANT:
            return f"{epithet[: -len(ending)]}er"
    return epithet


def _without_ending(epithet: str) -> str:
    if epithet.endswith(LONG_ENDINGS):
        return epithet[:-4]
    if epithet.endswith(TWO_ENDINGS):
        return epithet[:-2]
    return epithet[:-1] if epithet.endswith(ONE_ENDINGS) else epithet


def folded(text: str) -> str:
    """Return text in plain letters: signs off letters, quotes and hyphens dropped, punctuation as blanks."""
    if not text.isascii():
        text = HYBRID.sub("", text.translate(FOLDED))
        text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return " ".join(TO_BLANK.sub(" ", DROPPED.sub("", HYBRID.sub("", text))).split())


def normal_form(canonical: str) -> str:
    """Return the normal form of a name without author, in small letters."""
    plain = folded(canonical)
    first, blank, rest = plain.partition(" ")
    if not blank or len(first) < EARLIEST_BLANK:
        return plain.lower()
    words = (stem(word) if word.islower() else word for word in rest.split(" "))
    return " ".join((first, *words)).lower()
