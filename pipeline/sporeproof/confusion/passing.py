"""How many of the fruitbodies drawn by lot pass a list (engine.md, 5): a check of the lists from outside of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sporeproof.confusion.proof import Item, Proof
from sporeproof.confusion.specimens import Specimens, table_of
from sporeproof.confusion.statistics import Figures
from sporeproof.confusion.suspects import is_suspect
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry

if TYPE_CHECKING:
    from sporeproof.confusion.specimens import Codes, Flags, Numbers


@dataclass(frozen=True, slots=True)
class Passing:
    """How many fruitbodies of a suspect pass the list of an edible entry, of so many drawn.

    ``excluded`` says that the list claims to rule the suspect out.
    """

    entry: Entry
    grade: str
    level: str
    suspect: Entry
    excluded: bool
    drawn: int
    passed: int


def passes(specimens: Specimens, items: Iterable[Item]) -> Flags:
    """Return which fruitbodies pass every item of a list; what is not there cannot be read, and fails."""
    import numpy as np

    passed = np.ones(specimens.draws, dtype=np.bool_)
    for each in items:
        passed &= _accepts(each, specimens.of(each.character).read)
    return passed


def _accepts(item: Item, read: Codes | Numbers) -> Flags:
    import numpy as np

    if not item.character.is_measured:
        accepted: Flags = table_of(item.character, item.states)[read]
        return accepted
    low, high = item.range or (np.inf, -np.inf)
    return np.isnan(read) | ((low <= read) & (read <= high))


def passing(
    proofs: Sequence[Proof], suspects: Iterable[Entry], form: Form, draws: int = 2000, seed: int = 1
) -> list[Passing]:
    """Return, for each list and each suspect of it, how many fruitbodies pass; by name, whatever the order given.

    The list is the one of the level that the grade speaks of; where nothing is proven, the one for the field.
    """
    rows = [
        _passing(each, specimens, form)
        for specimens in (Specimens(suspect, form, draws, seed) for suspect in suspects)
        for each in proofs
        if specimens.entry is not each.entry and is_suspect(specimens.entry, each.entry, form)
    ]
    return sorted(rows, key=lambda row: (row.entry.name, row.entry.key, row.suspect.name, row.suspect.key))


def _passing(proved: Proof, specimens: Specimens, form: Form) -> Passing:
    level, suspect = level_of(proved.grade, form), specimens.entry
    taken = next(each for each in proved.lists if each.level == level)
    excluded = all(each.suspect is not suspect for each in taken.does_not_exclude)
    passed = int(passes(specimens, taken.items).sum())
    return Passing(proved.entry, proved.grade, level, suspect, excluded, specimens.draws, passed)


def level_of(grade: str, form: Form) -> str:
    """Return the level whose list a grade speaks of: the field for the two best ones, and where nothing is proven."""
    levels, (_, *by_level, _) = list(form.vocabularies["levels"]), form.vocabularies["grades"]
    return dict(zip(reversed(by_level), levels, strict=True)).get(grade, levels[0])


def let_through(rows: Iterable[Passing], form: Form) -> list[Passing]:
    """Return where a deadly fruitbody passes a list that must stop it: there must be none.

    Such is each list that is proven in the field, and of any other one what it claims to rule out.
    """
    deadly = [row for row in rows if form.is_deadly(row.suspect.verdict)]
    return [row for row in deadly if row.passed and (row.excluded or _in_the_field(row, form))]


def _in_the_field(row: Passing, form: Form) -> bool:
    return row.grade in list(form.vocabularies["grades"])[-2:]


# So many fruitbodies a rate speaks of; rounded up, for it must not look smaller than it is.
OF = 100_000


def rates(rows: Sequence[Passing], form: Form) -> list[Figures]:
    """Return how many fruitbodies pass: the deadly ones by list, all by grade and verdict, and by pair where any do.

    The last table leaves out what is unproven, where more is said in the list of what is not excluded.
    """
    return [_of_deadly(rows, form), _by_grade(rows, form), _by_pair(rows, form)]


def _of_deadly(rows: Sequence[Passing], form: Form) -> Figures:
    found: dict[tuple[str, str], list[Passing]] = {}
    for row in rows:
        if _in_the_field(row, form) and form.is_deadly(row.suspect.verdict):
            found.setdefault((row.entry.name, row.grade), []).append(row)
    told = [(*key, *_sums(of)[:2]) for key, of in found.items()]
    return Figures("Deadly fruitbodies drawn that pass a list for the field", ("list of", "grade", "drawn", "passed"),
                   list(told))  # fmt: skip


def _by_grade(rows: Sequence[Passing], form: Form) -> Figures:
    verdicts = [each for each in form.vocabularies["verdicts"] if any(row.suspect.verdict == each for row in rows)]
    told = [
        (grade, level_of(grade, form), verdict, len(of), *_sums(of))
        for grade in reversed(form.vocabularies["grades"])
        for verdict in verdicts
        if (of := [row for row in rows if (row.grade, row.suspect.verdict) == (grade, verdict)])
    ]
    head = ("grade", "list", "verdict", "pairs", "drawn", "passed", f"in {OF:,}")
    return Figures("Fruitbodies drawn that pass a list, by its grade and their verdict", head, list(told))


def _by_pair(rows: Sequence[Passing], form: Form) -> Figures:
    graded = list(form.vocabularies["grades"])[1:]
    found = [row for row in rows if row.passed and row.grade in graded]
    found.sort(key=lambda row: (-row.passed / row.drawn, row.entry.name, row.suspect.name))
    told = [(row.entry.name, row.grade, row.suspect.name, row.suspect.verdict, *_sums([row])) for row in found]
    head = ("list of", "grade", "passed by", "verdict", "drawn", "passed", f"in {OF:,}")
    return Figures("Whose fruitbodies pass a graded list", head, list(told))


def _sums(rows: Iterable[Passing]) -> tuple[int, int, int]:
    drawn, passed = map(sum, zip(*((row.drawn, row.passed) for row in rows), strict=True))
    return drawn, passed, -(-passed * OF // drawn)
