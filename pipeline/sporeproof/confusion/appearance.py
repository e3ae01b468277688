"""What a taxon can look like, on both sides of a comparison (engine.md, 1).

The two sides are not alike. Of the edible one only what is accepted counts, unworn: leaving something out can
only reject more. The other one is as wide as it can be: at every age, worn, and with whatever a careful person
may report in its place. An unknown stays unknown on both sides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

from sporeproof.form.catalogue import Character, Implication, closure, with_near
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry
from sporeproof.tables.build import Facts, Tables, unsorted
from sporeproof.tables.resolve import Checklist

States = frozenset[str]
Range = tuple[float, float]


@dataclass(slots=True)
class Traits:
    """What the tables record of one taxon: states and ranges by character and stage, and what is accepted."""

    taxon_id: str
    states: dict[str, dict[str, States]] = field(default_factory=dict)
    ranges: dict[str, dict[str, Range]] = field(default_factory=dict)
    accepted: dict[str, States] = field(default_factory=dict)
    accepted_ranges: dict[str, Range] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class View:
    """How one side shows one character: ``status`` is known, unknown or not-applicable.

    ``states`` or ``range`` hold what is seen where it is known.
    """

    status: str
    states: States = frozenset()
    range: Range | None = None


# The tables that say what a taxon looks like; nothing else is read here.
APPEARANCE_TABLES = ("characters", "measurements", "accept_only", "accept_ranges")

Side = Callable[[Character], View]

# In ``accept_only`` the word `stage` stands where a character does (data-model.md, 4).
STAGE = "stage"
UNKNOWN = View("unknown")
NOT_APPLICABLE = View("not-applicable")


def traits_of(tables: Tables, form: Form) -> dict[str, Traits]:
    """Return what the tables ``characters``, ``measurements`` and ``accept_*`` record, by taxon id.

    A character of which one state is no word of the catalogue is left out whole: nobody knows what was meant, and
    without it the taxon would look narrower than it is.
    """
    found: dict[str, Traits] = {}
    for taxon_id, states in _states_of(tables, form).items():
        found[taxon_id] = Traits(taxon_id, states)
    for taxon_id, character, stage, low, high, *_ in tables["measurements"]:
        if character in form.characters:
            found.setdefault(taxon_id, Traits(taxon_id)).ranges.setdefault(character, {})[stage] = (low, high)
    for taxon_id, character, state in tables["accept_only"]:
        accepted = found.setdefault(taxon_id, Traits(taxon_id)).accepted
        accepted[character] = accepted.get(character, frozenset()) | {state}
    for taxon_id, character, low, high, *_ in tables["accept_ranges"]:
        found.setdefault(taxon_id, Traits(taxon_id)).accepted_ranges[character] = (low, high)
    return found


def _states_of(tables: Tables, form: Form) -> dict[str, dict[str, dict[str, States]]]:
    """Return the states by taxon, character and stage, but for characters with a state that nobody knows."""
    found: dict[str, dict[str, dict[str, set[str]]]] = {}
    for taxon_id, character, stage, state, *_ in tables["characters"]:
        found.setdefault(taxon_id, {}).setdefault(character, {}).setdefault(stage, set()).add(state)
    return {
        taxon_id: {
            character: {stage: frozenset(states) for stage, states in stages.items()}
            for character, stages in characters.items()
            if character in form.characters and _are_words(form.characters[character], stages.values())
        }
        for taxon_id, characters in found.items()
    }


def _are_words(character: Character, stages: Iterable[set[str]]) -> bool:
    return all(states <= character.states.keys() for states in stages)


@lru_cache(maxsize=4096)
def appearance_of(entry: Entry, form: Form) -> Appearance:
    """Return the appearance of an entry; kept, since many pairs ask for the same one."""
    tables = unsorted(Facts(Checklist([entry]), form, {}, []), APPEARANCE_TABLES)
    return Appearance(traits_of(tables, form).get(entry.key) or Traits(entry.key), form)


class Appearance:
    """How one taxon shows each character, computed when it is asked for."""

    def __init__(self, traits: Traits, form: Form) -> None:
        self.traits = traits
        self.form = form
        self._shown: dict[str, View] = {}
        self._reported: dict[str, States] = {}
        self._accepted: dict[str, View] = {}

    # The other side: as wide as it can be.

    def shown(self, character: Character) -> View:
        """Return ``A``: every state the taxon can appear in, at any age and worn; or its range, widened."""
        if character.id not in self._shown:
            self._shown[character.id] = self._applied(character, self._widest(character), self.shown)
        return self._shown[character.id]

    def reported(self, character: Character) -> States:
        """Return ``R``: what is shown, and all that a careful person may report in its place."""
        if character.id not in self._reported:
            self._reported[character.id] = with_near(character, self.shown(character).states)
        return self._reported[character.id]

    def _widest(self, character: Character) -> View:
        if character.is_measured:
            return self._widened(character)
        own = self._own(character)
        added: set[str] = set()
        for implied in self._implied:
            if implied.adds_character == character.id:
                added |= closure(character, frozenset(implied.adds_states))
        if not own.states and not (added and self._never_applied(character)):
            return UNKNOWN
        return View("known", own.states | added)

    def _own(self, character: Character) -> View:
        """The taxon's own states with their wear, before any implication."""
        given = self.traits.states.get(character.id, {})
        if not given or not self._covers_ages(given):
            return UNKNOWN
        return View("known", closure(character, frozenset().union(*given.values())))

    def _never_applied(self, character: Character) -> bool:
        """Neither recorded, not even at some stage, nor applicable before any implication."""
        unrecorded = character.id not in self.traits.states
        return unrecorded and self._own_applied(character).status == "not-applicable"

    def _own_applied(self, character: Character) -> View:
        return self._applied(character, self._own(character), self._own_applied)

    def _covers_ages(self, stages: Iterable[str]) -> bool:
        """A value by stage that leaves out the young or the mature ones says too little of the taxon."""
        return UNSTAGED in stages or self.form.needed_stages <= set(stages)

    @cached_property
    def _implied(self) -> list[Implication]:
        return [each for each in self.form.implications if self._holds(each)]

    def _holds(self, implied: Implication) -> bool:
        """Judged once, on the taxon's own appearance; one that is not known may be any."""
        when = self._own(self.form.characters[implied.when_character])
        unless = self._own(self.form.characters[implied.unless_character])
        spared = unless.status == "known" and unless.states <= implied.unless_states
        return (when.status == "unknown" or bool(when.states & implied.when_states)) and not spared

    def _widened(self, character: Character) -> View:
        stages = self.traits.ranges.get(character.id, {})
        if not stages or not self._covers_ages(stages):
            return UNKNOWN
        low, high = hull(stages.values())
        widened = (0.0 if character.grows else low * (1 - character.tolerance), high * (1 + character.tolerance))
        return View("known", range=widened)

    # The edible side: only what is accepted.

    def accepted(self, character: Character) -> View:
        """Return ``N``: the states, unworn, of the specimens that the verdict covers; or the accepted range."""
        if character.id not in self._accepted:
            self._accepted[character.id] = self._applied(character, self._narrowest(character), self.accepted)
        return self._accepted[character.id]

    def _narrowest(self, character: Character) -> View:
        if character.is_measured:
            return self._accepted_range(character)
        given = self.traits.states.get(character.id, {})
        stages = self._accepted_stages(given)
        if not stages:
            return UNKNOWN
        states = frozenset().union(*(given[stage] for stage in stages))
        only = self.traits.accepted.get(character.id)
        return View("known", states if only is None else states & only)

    def _accepted_stages(self, given: Iterable[str]) -> list[str]:
        only = self.traits.accepted.get(STAGE)
        return [stage for stage in given if only is None or stage == UNSTAGED or stage in only]

    def _accepted_range(self, character: Character) -> View:
        """A size that grows has a range only where the entry says which sizes it accepts."""
        stages = self.traits.ranges.get(character.id, {})
        if not (self._accepted_stages(stages) if character.grows else stages):
            return UNKNOWN
        own = None if character.grows else hull(stages.values())
        return View("known", range=self.traits.accepted_ranges.get(character.id, own))

    def own_range(self, character: Character) -> Range | None:
        """Return the range over all stages as recorded, or None where none is."""
        stages = self.traits.ranges.get(character.id, {})
        return hull(stages.values()) if stages else None

    # Both sides.

    def _applied(self, character: Character, view: View, side: Side) -> View:
        """Return the view, or unknown or not applicable as the controlling character has it."""
        if character.applies_if is None:
            return view
        controller, states = character.applies_if
        above = side(self.form.characters[controller])
        if above.status == "not-applicable":
            return NOT_APPLICABLE
        if above.status == "unknown" or not above.states:
            return UNKNOWN
        if not above.states & states:
            return NOT_APPLICABLE
        return UNKNOWN if self._blurred(controller, above.states - states, states) else view

    def _blurred(self, controller: str, outside: States, states: States) -> bool:
        """Tell whether a state outside may be taken for one inside, so that nobody knows what was read."""
        known = self.form.characters[controller].states
        return any((known[id].near | known[id].like) & states for id in outside)


def hull(ranges: Iterable[Range]) -> Range:
    """Return the smallest range that holds all the given ones."""
    listed = list(ranges)
    return min(low for low, _ in listed), max(high for _, high in listed)
