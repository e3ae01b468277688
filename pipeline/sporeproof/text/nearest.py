"""Finds the word that somebody most likely meant."""

from __future__ import annotations

from collections.abc import Iterable

# Less alike than this, a guess would lead astray more often than it helps.
ALIKE = 0.75


def nearest(word: str, words: Iterable[str]) -> str:
    """Return the one of ``words`` that a slip of the pen would turn into ``word``, or nothing.

    >>> nearest("aniseeed", ["aniseed", "mealy"])
    'aniseed'
    >>> nearest("Present", ["present", "absent"])
    'present'
    >>> nearest("purple", ["present", "absent"])
    ''
    """
    from difflib import get_close_matches

    folded = {_folded(each): each for each in words if each != word}
    found = get_close_matches(_folded(word), folded, n=1, cutoff=ALIKE)
    return folded[found[0]] if found else ""


def did_you_mean(word: str, words: Iterable[str]) -> str:
    """Return the question that offers the nearest word, or nothing."""
    found = nearest(word, words)
    return f"Did you mean `{found}`?" if found else ""


def _folded(word: str) -> str:
    """Case, and what stands between the parts of a word, are the commonest slips."""
    return word.casefold().replace("_", "-").replace(" ", "-")
