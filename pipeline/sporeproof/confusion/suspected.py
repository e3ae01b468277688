"""Each edible entry against all its suspects: what separates them, how alike they are, who lists whom (engine.md, 4).

It says nothing of what should be listed; rules do. Suspects stand in one order for all, the deadly first, and what
holds for some of them is a number whose bits speak of them, as in `screen`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice

from sporeproof.confusion.appearance import appearance_of
from sporeproof.confusion.likeness import Likeness
from sporeproof.confusion.screen import Bits, Counts, Screen, bits_of, positions_of
from sporeproof.confusion.similarity import SETTING_TABLES, Aspect, Looks, aspects_of, ready
from sporeproof.confusion.suspects import Suspects
from sporeproof.confusion.wanting import Wanting, settles_most
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.tables.build import Facts, unsorted
from sporeproof.tables.resolve import Checklist


@dataclass(frozen=True, slots=True, eq=False)
class Suspected:
    """An edible entry and its suspects: bit *i* of every number speaks of ``suspects[i]``, the deadly ones first.

    ``among`` are those compared here; ``counts`` the separators in the field; ``alike`` those at or above the
    threshold; ``authored`` those that either entry lists; ``answers`` whom this one dismisses, by position there.
    ``is_whole`` says that all its suspects were compared, and not only some that a check was asked about.
    """

    entry: Entry
    suspects: Suspects
    among: Bits
    counts: Counts
    alike: Bits
    authored: Bits
    answers: tuple[tuple[int, Entry], ...]
    is_whole: bool

    @property
    def dismissed(self) -> Bits:
        """Those that the entry answers."""
        return self.among & self.suspects.bits(other for _, other in self.answers)

    @property
    def unanswered(self) -> Bits:
        """Those computed that nobody lists and that the entry does not answer."""
        return self.computed & ~self.authored & ~self.dismissed

    @property
    def thin(self) -> Bits:
        """Those from which it is not well separated in the field."""
        return self.among & ~self.counts.enough

    @property
    def bare(self) -> Bits:
        """Those from which nothing separates it in the field."""
        return self.among & ~self.counts.some

    @property
    def short(self) -> Bits:
        """Those from which less separates it in the field than is required."""
        return self.bare | self.thin & ~self.suspects.lenient

    def wanting(self, form: Form) -> Wanting | None:
        """Return the one missing value that might settle most of what is short, judged by the worst of it."""
        return settles_most(self.entry, self.named(self.short, WORST), form)

    @property
    def computed(self) -> Bits:
        """Those that can be confused with it by what is recorded, or look like it, whoever lists them."""
        return self.thin | self.among & self.alike

    def named(self, bits: Bits, most: int | None = None) -> list[Entry]:
        """Return the suspects that some bits speak of, or the first of them: the deadly come first."""
        return [self.suspects.entries[position] for position in islice(positions_of(bits), most)]


# Where more pairs are short, the worst are enough to tell what is worth recording first.
WORST = 60

# Up to so many pairs are compared one by one, without the time that it takes to import numpy.
FEW_PAIRS = 20_000


class Suspicion:
    """The suspects of a dataset, made ready once for all its edible entries."""

    def __init__(self, checklist: Checklist, form: Form, threshold: float | None) -> None:
        self.checklist = checklist
        self.form = form
        self.threshold = threshold
        self.suspects = Suspects(checklist.entries, form)
        self.looks = {entry.key: appearance_of(entry, form) for entry in checklist.entries}
        shown = [self.looks[each.key] for each in self.suspects.entries]
        self.screen = Screen(shown, self.suspects.required, next(iter(form.vocabularies["levels"])), form)
        edible = sum(form.is_edible(entry.verdict) for entry in checklist.entries)
        are_many = edible * len(self.suspects.entries) > FEW_PAIRS
        self.kept: dict[str, Bits] = {}
        # Once, before the work is parted among processes.
        self.ready = self._ready() if are_many and threshold is not None else None

    @cached_property
    def aspects(self) -> list[Aspect]:
        """What the taxa are compared by for likeness."""
        # Where an entry cannot be read in full its setting is not known; what it looks like is, as far as it was read.
        sound = Checklist(entry for entry in self.checklist.entries if entry.sound)
        tables = unsorted(Facts(sound, self.form, {}, []), SETTING_TABLES)
        return aspects_of(list(self.looks), list(self.looks.values()), tables, self.form)

    @cached_property
    def likeness(self) -> Likeness:
        """The taxa made ready for comparing a few pairs."""
        return Likeness(list(self.looks), self.aspects)

    def _ready(self) -> Looks:
        return ready(list(self.looks), self.aspects)

    @cached_property
    def listed_by(self) -> dict[str, list[Entry]]:
        """The entries that list an entry as a confusion, by its key."""
        found: dict[str, list[Entry]] = {}
        for entry in self.checklist.entries:
            for _, _, link in self.checklist.linked(entry):
                if link.one:
                    found.setdefault(link.one.key, []).append(entry)
        return found

    def each(self, entries: Iterable[Entry]) -> Iterator[Suspected]:
        """Yield the edible ones of some entries against all their suspects."""
        edible = [entry for entry in entries if self.form.is_edible(entry.verdict)]
        if self.ready and self.threshold is not None:
            keys, others = [entry.key for entry in edible], [entry.key for entry in self.suspects.entries]
            self.kept = dict(zip(keys, self.ready.alike_to(keys, others, self.threshold), strict=True))
        return (self.of(entry) for entry in edible)

    def touched(self, judged: Sequence[Entry]) -> Iterator[Suspected]:
        """Yield the edible entries beside some judged ones, against those of the judged that are their suspects."""
        chosen = {id(entry) for entry in judged}
        if self.suspects.bits(judged):
            for entry in self.checklist.entries:
                if self.form.is_edible(entry.verdict) and id(entry) not in chosen:
                    yield self.of(entry, judged)

    def of(self, entry: Entry, only: Iterable[Entry] | None = None) -> Suspected:
        """Return an edible entry against its suspects, or against some of them only."""
        among = self.suspects.of(entry)
        if only is not None:
            among &= self.suspects.bits(only)
        links = [link.one for _, _, link in self.checklist.linked(entry) if link.one]
        answers = enumerate(entry.value.get("not_confused_with") or [])
        found = [(index, self.checklist.find(each["with"]).one) for index, each in answers if each.get("with")]
        return Suspected(
            entry,
            self.suspects,
            among,
            self.screen.separators(self.looks[entry.key]).only(among),
            self._alike(entry, among),
            self.suspects.bits([*links, *self.listed_by.get(entry.key, ())]) & among,
            tuple((index, other) for index, other in found if other),
            only is None,
        )

    def _alike(self, entry: Entry, among: Bits) -> Bits:
        """Return those at or above the threshold; all of them where there is none, or nothing is known of both."""
        if self.threshold is None:
            return among
        if entry.key in self.kept:
            return self.kept[entry.key] & among
        others = ((place, self.suspects.entries[place].key) for place in positions_of(among))
        values = ((place, self.likeness.between(entry.key, other)) for place, other in others)
        return bits_of(place for place, value in values if value is None or value >= self.threshold)
