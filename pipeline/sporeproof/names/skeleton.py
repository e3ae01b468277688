"""A new entry that explains itself: every key with its sentence and words, every character with its states.

All of it comes from the schema. What is known at the start stands there; what every entry needs and only a
person can say stands there empty, so that a check asks for it; the rest is commented out.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from sporeproof.names.parse import faults
from sporeproof.names.spelling import spelling_of
from sporeproof.records.entry import NOT_NUMBERED
from sporeproof.records.read import TAXA
from sporeproof.tables.resolve import stem_of
from sporeproof.text.edit import EditRefused, Path_, written

if TYPE_CHECKING:
    from sporeproof.form.catalogue import Character
    from sporeproof.form.load import Form
    from sporeproof.form.shapes import Shape

WIDTH = 110
GENDER = "gender"
HEAD = """\
## A new entry. Write what is known, leave out what is not: it counts as unknown then, never as absent.
## `##` explains. `#` stands before a key that may be used: take `# ` away and fill the key in.
## Delete every comment in the end, save your own, and run `sporeproof check {file}`.
"""
VALUES = "Each is a state, a list of states, {{{stages}}}, a range, or {{is: any of these, source: [...]}}."


class NameRefused(Exception):
    """No entry was written; the message says why, in a sentence."""


def rank_of(name: str, form: Form) -> str:
    """Return the rank that the words of a name stand for; whether they are well formed is not asked here."""
    spelling, words = spelling_of(form.folder), name.split()
    told = {term: rank for rank, term in (*spelling.terms.items(), *spelling.ends_with.items())}
    if marks := [word for word in words[1:] if word in told]:
        return told[marks[-1]]
    if len(words) == 1:
        return min(spelling.one_word)
    return next(rank for rank in form.vocabularies["ranks"] if rank not in {*told.values(), *spelling.one_word})


def misspelled(name: str, form: Form) -> str:
    """Return what is wrong with the form of a name, agreement apart; empty where nothing is."""
    found = [each for each in faults(name, "", rank_of(name, form), form.folder) if each.kind != GENDER]
    if not found:
        return ""
    word = f"`{found[0].word}`"
    return found[0].says if word in found[0].says else f"{word}: {found[0].says}"


def skeleton(name: str, form: Form, authorship: str = "") -> tuple[str, str]:
    """Return the file name and the text of a new entry; raises :class:`NameRefused` for a name of no kind."""
    name = " ".join(name.split())
    if not name or (wrong := misspelled(name, form)):
        raise NameRefused(
            f"`{name}` cannot be the name of an entry: {wrong if name else 'it is empty'}. Write it like "
            "`Genus epithet`, `Genus epithet var. epithet` or `Genus`; the author goes into `authorship`."
        )
    file = f"{stem_of(name)}.yaml"
    known: dict[Path_, str] = {("id",): NOT_NUMBERED, ("name",): name, ("rank",): rank_of(name, form)}
    known |= {("review", "state"): next(iter(form.vocabularies["review-states"]))}
    if authorship.strip():
        known |= {("authorship",): " ".join(authorship.split())}
    try:
        lines = list(_Page(form, known).keys(form.entry, (), live=True))
    except EditRefused as error:
        raise NameRefused(f"The authorship cannot be written into an entry. {error}") from error
    return file, HEAD.format(file=f"{TAXA}/{file}") + "\n".join(lines) + "\n"


def write_new(root: Path, file: str, text: str) -> Path:
    """Write a new entry whole or not at all, and never over another one."""
    path = root / TAXA / file
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, aside = tempfile.mkstemp(prefix=f".{file}.", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as new:
            new.write(text)
            new.flush()
            os.fsync(new.fileno())
        Path(aside).chmod(0o644)
        os.link(aside, path)  # unlike a move, this fails where something stands already
    except FileExistsError:
        raise NameRefused(f"{TAXA}/{file} is there already, so no new one is written.") from None
    finally:
        Path(aside).unlink(missing_ok=True)
    return path


class _Page:
    """Writes the keys of a shape as lines: live what is known or needed, commented out the rest."""

    def __init__(self, form: Form, known: dict[Path_, str]) -> None:
        self.form = form
        self.known = known

    def keys(self, shape: Shape, path: Path_, *, live: bool, dash: bool = False) -> Iterator[str]:
        """Yield the lines of each key in a block; ``dash`` starts an item of a list with the first."""
        for position, (key, below) in enumerate(shape.keys.items()):
            lead = "  " * len(path)
            if dash:
                lead = lead[:-2] + ("- " if position == 0 else "  ")
            wanted = below.required or (*path, key) in self.known
            yield from self.key(below, (*path, key), lead, live=live and wanted)

    def key(self, shape: Shape, path: Path_, lead: str, *, live: bool) -> Iterator[str]:
        """Yield what explains a key, the key itself, and what stands below it."""
        if len(path) == 1:
            yield ""
        yield from self.explained(shape, path)
        below = shape.of if shape.kind == "list" and shape.of and shape.of.keys else shape
        line = f"{lead}{path[-1]}:{self.value(shape, path)}"
        yield line if live else f"# {line}"
        if path == ("characters",):
            yield from self.characters()
        elif below.keys:
            deeper = (*path, "") if below is not shape else path
            yield from self.keys(below, deeper, live=live, dash=below is not shape)

    def value(self, shape: Shape, path: Path_) -> str:
        """Return what stands behind the colon."""
        if path in self.known:
            return f" {written(self.known[path], inline=False)}"
        if path == ("characters",) or shape.keys or (shape.of and shape.of.keys):
            return ""
        return {"list": " []", "sources": " []", "each": " {}"}.get(shape.kind, "")

    def explained(self, shape: Shape, path: Path_) -> Iterator[str]:
        """Yield the sentence of a key, what it looks like, and its words."""
        says = [shape.says, "Needed." if shape.required and shape.says else "", *_looks(shape)]
        if shape.of and shape.of.kind == "value":
            says.append(VALUES.format(stages=", ".join(f"{stage}: [...]" for stage in self.form.stages)))
        if words := _vocabulary(shape):
            says.append(f"Words: {', '.join(self.form.vocabularies[words])}.")
        yield from _comment(" ".join(filter(None, says)), len(path) - 1)

    def characters(self) -> Iterator[str]:
        """Yield every character of the catalogue, part by part, with its states."""
        for part, term in self.form.vocabularies["parts"].items():
            yield from _comment(f"--- {term.title} ---", 1)
            for each in self.form.characters.values():
                if each.part == part:
                    yield from _comment(self.states(each), 1)
                    yield f"#   {each.id}: []"

    def states(self, character: Character) -> str:
        """Return a character's title, where it applies, and its states in one sentence."""
        title = character.title
        if character.applies_if:
            controller, states = character.applies_if
            title += f" (only where {controller} is {' or '.join(sorted(states))})"
        if character.is_measured:
            unit = self.form.vocabularies["units"][character.unit].title.lower()
            return f"{title}: [low, high] of the usual range, in {unit}."
        return f"{title}: {', '.join(character.states)}."


def _vocabulary(shape: Shape) -> str:
    """Return the vocabulary of a key's words, or of the items or keys below it."""
    below = shape.of
    return shape.vocabulary or shape.key_vocabulary or (below.vocabulary if below and not below.keys else "")


def _looks(shape: Shape) -> Iterator[str]:
    """Yield what a key's value, the keys below it, or its items must look like."""
    for looks, what in ((shape.looks_like, "Write"), (shape.key_looks_like, "Each key is")):
        if looks:
            yield f"{what} {looks}."
    below = shape.of
    while below:
        if below.looks_like:
            yield f"Each is {below.looks_like}."
        for option in below.options:
            if option.keys:
                yield f"Each is a word, or {{{', '.join(f'{key}: ' for key in option.keys).rstrip()}}}."
        below = below.of


def _comment(sentence: str, depth: int) -> Iterator[str]:
    lead = "## " + "  " * depth
    for line in wrap(sentence, WIDTH - len(lead), break_long_words=False, break_on_hyphens=False):
        yield lead + line
