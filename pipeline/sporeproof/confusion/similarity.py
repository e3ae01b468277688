"""How alike taxa look: Gower's similarity (Gower 1971, Biometrics 27; engine.md, 3). It ranks; it never acquits.

Over all aspects *k* that are known and applicable in both taxa *i* and *j*::

    S(i, j) = sum of w(k) * s(k, i, j) / sum of w(k)

An aspect is a character, the season or the hosts. Of sets (states, months, host genera) *s* is Jaccard's share,
what both have in common of what either has. Of measured characters it is ``1 - |m(i) - m(j)| / r``, with *m* the
middle of the range that the entry gives over all stages, and *r* the span of the middles in the dataset. The range
is not widened: for the proof a size that grows reaches down to 0, which would leave nothing but its upper end.

The weight of a character is that of its method (``similarity`` in the vocabulary of methods). Season and hosts have
no method. They warn and never prove, like a smell, so they take part with the least weight that any method has: a
month or a tree that somebody left out lowers a dangerous likeness as little as can be.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sporeproof.confusion.appearance import APPEARANCE_TABLES, Appearance, Traits, traits_of
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.tables.build import Tables

if TYPE_CHECKING:
    import numpy as np

    Numbers = np.ndarray[Any, np.dtype[np.float64]]
    Places = np.ndarray[Any, np.dtype[np.intp]]
    Truths = np.ndarray[Any, np.dtype[np.bool_]]

# The tables that say how alike taxa look; nothing else is read here.
SETTING_TABLES = ("settings", "seasons")
SIMILARITY_TABLES = ("taxa", *APPEARANCE_TABLES, *SETTING_TABLES)

# Pairs are worked through so many at a time: few enough to stay in the processor's cache.
AT_ONCE = 1 << 18

Set = frozenset[Hashable]
NOTHING: Set = frozenset()


@dataclass(frozen=True, slots=True, eq=False)
class Similarities:
    """The similarity of every two taxa: ``values[i, j]`` of ``taxon_ids[i]`` and ``taxon_ids[j]``.

    ``values`` is n x n, float64, symmetric, within 0 and 1, and NaN where nothing is known of both.
    """

    taxon_ids: tuple[str, ...]
    values: Numbers


@dataclass(frozen=True, slots=True, eq=False)
class Sets:
    """An aspect that comes in sets: ``distinct`` is u x k, a row of zeros and ones for each set that occurs.

    ``which`` (n) is the row that each taxon has; an empty set is unknown.
    """

    weight: float
    distinct: Numbers
    which: Places

    def known(self) -> Truths:
        """Return which sets are known (u)."""
        known: Truths = self.distinct.sum(axis=1) > 0
        return known

    def alike(self, columns: Places) -> Numbers:
        """Return ``s`` of each row and of some taxa, u x columns; 0 where either is unknown."""
        import numpy as np

        others = self.distinct[self.which[columns]]
        common = self.distinct @ others.T
        either = self.distinct.sum(axis=1)[:, np.newaxis] + others.sum(axis=1) - common
        shares: Numbers = common / np.maximum(either, 1)
        return shares


@dataclass(frozen=True, slots=True, eq=False)
class Middles:
    """A measured aspect: ``distinct`` (u) holds the middles that occur, NaN for unknown.

    ``which`` (n) is the one that each taxon has. ``span`` lies between the least and the greatest, or is 1
    where all are the same.
    """

    weight: float
    distinct: Numbers
    which: Places
    span: float

    def known(self) -> Truths:
        """Return which middles are known (u)."""
        import numpy as np

        return ~np.isnan(self.distinct)

    def alike(self, columns: Places) -> Numbers:
        """Return ``s`` of each middle and of some taxa, u x columns; 0 where either is unknown."""
        import numpy as np

        apart = np.abs(self.distinct[:, np.newaxis] - self.distinct[self.which[columns]])
        return np.nan_to_num(1 - apart / self.span, copy=False)


@dataclass(frozen=True, slots=True, eq=False)
class Looks:
    """What the n taxa of a dataset look like in its aspects, made ready for comparing any of them."""

    taxon_ids: tuple[str, ...]
    aspects: tuple[Sets | Middles, ...]

    def between(self, rows: Sequence[str], columns: Sequence[str]) -> Numbers:
        """Return the similarity of some taxa (rows) and others (columns), NaN where nothing is known of both."""
        import numpy as np

        place = {id: at for at, id in enumerate(self.taxon_ids)}
        down, across = (np.array([place[id] for id in ids], dtype=np.intp) for ids in (rows, columns))
        values, known = np.empty((len(rows), len(columns))), self._known()
        for part in _parts(len(rows), len(columns)):
            values[:, part] = self._compared(down, across[part], known)
        return values

    def alike_to(self, rows: Sequence[str], columns: Sequence[str], threshold: float) -> list[int]:
        """Return for each taxon of the rows those that come up to a threshold, as bits: bit *i* of ``columns[i]``."""
        import numpy as np

        packed = np.packbits(at_or_above(self.between(rows, columns), threshold), axis=1, bitorder="little")
        return [int.from_bytes(row.tobytes(), "little") for row in packed]

    def of_all(self) -> Numbers:
        """Return the similarity of every two taxa, n x n; hardly more than half of them are worked out."""
        import numpy as np

        count, known = len(self.taxon_ids), self._known()
        values, everyone = np.empty((count, count)), np.arange(count)
        for part in _parts(count, count):
            values[: part.stop, part] = self._compared(everyone[: part.stop], everyone[part], known)
            values[part, : part.stop] = values[: part.stop, part].T
        return values

    def _known(self) -> Numbers:
        """Return which aspects are known of the taxa, n x aspects, as zeros and ones."""
        import numpy as np

        known = np.zeros((len(self.taxon_ids), len(self.aspects)))
        for at, each in enumerate(self.aspects):
            known[:, at] = each.known()[each.which]
        return known

    def _compared(self, rows: Places, columns: Places, known: Numbers) -> Numbers:
        import numpy as np

        weights = known[rows] * np.array([each.weight for each in self.aspects]) @ known[columns].T
        with np.errstate(invalid="ignore"):  # nothing known of both: 0 / 0
            values: Numbers = self._alike(rows, columns) / weights
        return values

    def _alike(self, rows: Places, columns: Places) -> Numbers:
        """Return the sum of ``w * s`` over all aspects, rows x columns.

        Many taxa share one of few sets, so each set is compared once and the result handed out.
        """
        import numpy as np

        alike, mine = np.zeros((2, len(rows), len(columns)))
        for each in self.aspects:
            # Places are sound by now; `clip` only saves a copy.
            np.take(each.weight * each.alike(columns), each.which[rows], axis=0, out=mine, mode="clip")
            alike += mine
        return alike


def _parts(rows: int, columns: int) -> Iterator[slice]:
    """Yield the columns in parts, each small enough with all the rows."""
    step = AT_ONCE // (rows + 1) + 1
    for start in range(0, columns, step):
        yield slice(start, min(start + step, columns))


def similarities(tables: Tables, form: Form) -> Similarities:
    """Return the similarity of every two taxa of the dataset, in the order of the table ``taxa``."""
    looks = looks_of(tables, form)
    return Similarities(looks.taxon_ids, looks.of_all())


def at_or_above(values: Numbers, threshold: float) -> Truths:
    """Return where the similarity comes up to a threshold; it does where nothing is known of both.

    A plain ``values >= threshold`` would take two taxa for unlike because nobody has described them.
    """
    below: Truths = values < threshold
    return ~below


@dataclass(frozen=True, slots=True)
class Aspect:
    """One thing in which taxa are compared: its weight, and what each taxon shows of it.

    ``sets`` hold states, months or genera, empty where unknown; ``middles`` those of ranges, NaN where unknown.
    One of the two is empty.
    """

    weight: float
    sets: Sequence[Set] = ()
    middles: Sequence[float] = ()


def looks_of(tables: Tables, form: Form) -> Looks:
    """Return what the taxa of the tables look like, as far as it weighs anything."""
    taxon_ids = [str(row[0]) for row in tables["taxa"]]
    traits = traits_of(tables, form)
    shown = [Appearance(traits.get(id) or Traits(id), form) for id in taxon_ids]
    return ready(taxon_ids, aspects_of(taxon_ids, shown, tables, form))


def ready(taxon_ids: Sequence[str], aspects: Iterable[Aspect]) -> Looks:
    """Return taxa made ready for comparing any of them."""
    made = (_sets(each) if each.sets else _middles(each) for each in aspects)
    return Looks(tuple(taxon_ids), tuple(made) if taxon_ids else ())


def aspects_of(taxon_ids: Sequence[str], shown: Sequence[Appearance], tables: Tables, form: Form) -> list[Aspect]:
    """Return what taxa, by id and appearance, show of all that weighs anything; of the tables only the settings."""
    weights, kept = weights_of(form), dict[Set, Set]()
    aspects = []
    for id, weight in weights.items():
        character = form.characters[id]
        if character.is_measured:
            aspects.append(Aspect(weight, middles=[_middle(look, character) for look in shown]))
        else:
            states = (look.shown(character).states for look in shown)
            # One copy of each set: many taxa have the same.
            aspects.append(Aspect(weight, sets=[kept.setdefault(each, each) for each in states]))
    least = _least(form)
    settings = ([given.get(id, NOTHING) for id in taxon_ids] for given in _settings(tables))
    return [*aspects, *(Aspect(least, sets=sets) for sets in settings)]


def weights_of(form: Form) -> dict[str, float]:
    """Return the characters that weigh something, each with its weight.

    They stand by name, not by place in the catalogue: the order of a sum can change its last digit.
    """
    by_method = _by_method(form)
    weights = {id: by_method[form.characters[id].seen_by] for id in sorted(form.characters)}
    return {id: weight for id, weight in weights.items() if weight}


def _least(form: Form) -> float:
    """Return the weight of season and hosts: the least that any method has."""
    return min((weight for weight in _by_method(form).values() if weight), default=0.0)


def _by_method(form: Form) -> dict[str, float]:
    return {id: float(term.more.get("similarity", 0)) for id, term in form.vocabularies["methods"].items()}


def _middle(look: Appearance, character: Character) -> float:
    own = look.own_range(character) if look.shown(character).status == "known" else None
    return (own[0] + own[1]) / 2 if own else float("nan")


def _settings(tables: Tables) -> Iterator[dict[str, Set]]:
    """Yield the months and the host genera of each taxon."""
    yield _by_taxon((row[0], row[2]) for row in tables["seasons"])
    yield _by_taxon((row[0], row[2]) for row in tables["settings"] if row[1] == "host")


def _by_taxon(pairs: Iterable[tuple[str, Hashable]]) -> dict[str, Set]:
    found: dict[str, Set] = {}
    for taxon_id, each in pairs:
        found[taxon_id] = found.get(taxon_id, NOTHING) | {each}
    return found


def _sets(aspect: Aspect) -> Sets:
    import numpy as np

    seen: dict[Set, int] = {}
    which = np.array([seen.setdefault(each, len(seen)) for each in aspect.sets], dtype=np.intp)
    members = NOTHING.union(*seen)
    distinct = np.array([[float(one in each) for one in members] for each in seen])
    return Sets(aspect.weight, distinct.reshape(len(seen), len(members)), which)


def _middles(aspect: Aspect) -> Middles:
    import numpy as np

    distinct, which = np.unique(np.array(aspect.middles), return_inverse=True)
    known = distinct[~np.isnan(distinct)]
    span = float(np.ptp(known)) if known.size else 0.0
    return Middles(aspect.weight, distinct, which, span or 1.0)
