"""What is not ruled out by what was seen of one fruitbody (engine.md, 6). It never says what a find is.

What was seen is the accepted side of every comparison. Season and region warn and rule nothing out.
"""

from __future__ import annotations

import math
from calendar import month_name
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from sporeproof.confusion.appearance import APPEARANCE_TABLES, Appearance, States, Traits, traits_of
from sporeproof.confusion.observation import Observation, unsettled
from sporeproof.confusion.separation import ENOUGH, Contrast, contrast, separators
from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.records.entry import UNSTAGED, Entry
from sporeproof.tables.build import Facts, months, unsorted
from sporeproof.tables.resolve import Checklist

Candidate = tuple[int, Character]

STANDS, ONE_THING, EXCLUDED = "stands", "one-thing", "excluded"


@dataclass(frozen=True, slots=True)
class Standing:
    """One taxon and what speaks against it. ``against`` also holds contrasts that are worth nothing as proof."""

    entry: Entry
    look: Appearance
    contrasts: tuple[Contrast, ...]
    separators: int

    @property
    def against(self) -> tuple[Contrast, ...]:
        """The contrasts that separate."""
        return tuple(each for each in self.contrasts if each.separates == "yes")

    @property
    def word(self) -> str:
        """Whether it stands, has one thing against it, or is excluded."""
        return EXCLUDED if self.separators >= ENOUGH else ONE_THING if self.separators else STANDS


@dataclass(frozen=True, slots=True)
class NextLook:
    """What to look at next: ``left`` is the share of the doubt over dangerous taxa that stays on the average.

    It is 1 for a character that only lets others count, those in ``opens``.
    """

    character: Character
    cost: int
    left: float = 1.0
    opens: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Doubt:
    """The answer: each taxon with its standing, dangerous ones first, then by verdict and name.

    ``clashes`` are the readings, or pairs of them, that no taxon shows, where nothing fits.
    """

    observation: Observation
    standings: tuple[Standing, ...] = ()
    next_look: NextLook | None = None
    clashes: tuple[tuple[str, ...], ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def fits(self) -> bool:
        """Tell whether any taxon of the dataset admits all that was seen."""
        return any(each.word == STANDS for each in self.standings)


def doubt(seen: Observation, checklist: Checklist, form: Form, region: str = "", month: int = 0) -> Doubt:
    """Return how each taxon of the checklist stands beside what was seen, and what to look at next."""
    if seen.unclear:
        return Doubt(seen)
    facts = Facts(checklist, form, {}, [])
    traits = traits_of(unsorted(facts, APPEARANCE_TABLES), form)
    mine, stages = seen.look(form), _stages_about(seen.stages, form)
    standings = [
        _standing(mine, seen, entry, _at_stages(traits.get(entry.key) or Traits(entry.key), stages, form), form)
        for entry in checklist.entries
    ]
    standings.sort(key=lambda each: _rank(each.entry, form))
    left = [each for each in standings if each.word != EXCLUDED]
    answer = Doubt(seen, tuple(standings), next_look(seen, left, form), (), tuple(_warnings(left, region, month, form)))
    return answer if answer.fits else replace(answer, clashes=tuple(_clashes(standings, seen)))


def _standing(mine: Appearance, seen: Observation, entry: Entry, traits: Traits, form: Form) -> Standing:
    look = Appearance(traits, form)
    contrasts = tuple(contrast(mine, look, form.characters[id], form) for id in seen.seen)
    return Standing(entry, look, contrasts, _separators(contrasts, form))


def _separators(contrasts: Iterable[Contrast], form: Form) -> int:
    """What was seen by any method counts, since it was seen; always as much is required as of a deadly one."""
    return separators(contrasts, list(form.vocabularies["levels"])[-1], ENOUGH, form)


def _stages_about(stages: States, form: Form) -> States:
    """Return the stages that may be meant: those said and the ones beside them, since age is easily misjudged."""
    known = form.stages
    spots = [known.index(each) for each in stages] or range(len(known))
    return frozenset(known[at] for spot in spots for at in (spot - 1, spot, spot + 1) if 0 <= at < len(known))


def _at_stages(traits: Traits, stages: States, form: Form) -> Traits:
    """Leave out the states of other stages, except of what is unknown as an appearance: that stays so."""
    return replace(traits, states={id: _within(given, stages, form) for id, given in traits.states.items()})


def _within(given: dict[str, States], stages: States, form: Form) -> dict[str, States]:
    kept = [states for stage, states in given.items() if stage in stages]
    if UNSTAGED in given or not kept or not form.needed_stages <= given.keys():
        return given
    return {UNSTAGED: frozenset().union(*kept)}


def is_feared(entry: Entry, form: Form) -> bool:
    """Tell whether a taxon is dangerous, or unsettled, or has no verdict that the vocabulary knows."""
    known = form.vocabularies["verdicts"].get(entry.verdict)
    return known is None or not known.flags.isdisjoint({"dangerous", "unsettled"})


def _rank(entry: Entry, form: Form) -> tuple[int, str, str]:
    """The vocabulary has the most cautious verdict first; one that it lacks stands before all others."""
    known = list(form.vocabularies["verdicts"])
    return known.index(entry.verdict) if entry.verdict in known else -1, entry.name, entry.key


def _clashes(standings: list[Standing], seen: Observation) -> Iterator[tuple[str, ...]]:
    """Yield the readings that no taxon shows; if there are none, the pairs that no taxon shows together."""
    admit = {
        id: {each.entry.key for each in standings if all(told.character.id != id for told in _weighty(each))}
        for id in seen.seen
    }
    if alone := [(id,) for id, keys in admit.items() if not keys]:
        yield from alone
        return
    yield from ((one, other) for one in admit for other in admit if one < other and not admit[one] & admit[other])


def _weighty(standing: Standing) -> list[Contrast]:
    return [each for each in standing.against if each.weight]


def next_look(seen: Observation, left: list[Standing], form: Form) -> NextLook | None:
    """Return the character that halves the doubt over the dangerous taxa left at the least cost, or None.

    A taxon that stands counts one, one with one thing against it a half. Where no single look halves it, the cost is
    that of as many like it as would. What others wait for comes first. Where none tells the taxa left apart, the find
    may still be something else: a look that would show that is named.
    """
    candidates = sorted(_candidates(seen, form), key=lambda each: (each[0], each[1].position))
    for cost, character in candidates:
        if opens := tuple(id for id, above in seen.waits.items() if above == character.id):
            return NextLook(character, cost, opens=opens)
    return _cheapest(seen, candidates, left, form) or _cheapest(seen, candidates, left, form, or_else=True)


def _cheapest(
    seen: Observation, candidates: list[Candidate], left: list[Standing], form: Form, *, or_else: bool = False
) -> NextLook | None:
    best, price = None, math.inf
    for cost, character in candidates:
        if cost >= price:
            break  # no dearer one can be better
        share = _share_left(seen, character, left, form, or_else=or_else)
        if (asked := cost * _looks_to_halve(share)) < price:
            best, price = NextLook(character, cost, share), asked
    return best


def _candidates(seen: Observation, form: Form) -> Iterator[Candidate]:
    """Yield what is not seen yet, can be seen, applies to the find and may be suggested, with its cost."""
    for id, character in form.characters.items():
        method = form.vocabularies["methods"][character.seen_by]
        is_open = id in seen.waits.values() or not (id in seen.seen or unsettled(seen, character, form))
        if is_open and id not in seen.cannot_see and "never-suggested" not in method.flags:
            yield int(method.more["cost"]), character


def _looks_to_halve(share: float) -> float:
    if share >= 1:
        return math.inf
    return max(1.0, math.log(0.5) / math.log(share)) if share > 0 else 1.0


def _share_left(
    seen: Observation, character: Character, left: list[Standing], form: Form, *, or_else: bool = False
) -> float:
    """Return the share of the doubt that stays, on the average over what the taxa left show, each counted once.

    With ``or_else`` something that is not in the dataset counts as one more, which may show any state.
    """
    feared = [each for each in left if is_feared(each.entry, form)]
    before = sum(_doubt_over(each.separators) for each in feared)
    shown = [each.look.shown(character) for each in left]
    known = [view.states for view in shown if view.status == "known" and view.states]
    if not known or not before or not form.weight(character):
        return 1.0
    known += [frozenset(character.states)] if or_else else []
    chance = {id: sum(1 / len(states) for states in known if id in states) / len(known) for id in character.states}
    after = _after(seen, character, feared, form)
    return 1.0 - sum(odds * (before - after(state)) for state, odds in chance.items() if odds) / before


def _after(seen: Observation, character: Character, feared: list[Standing], form: Form) -> Callable[[str], float]:
    """Return the doubt over the dangerous taxa once the character were seen in a state."""
    reported = [(each, each.look.reported(character)) for each in feared]

    def after(state: str) -> float:
        mine = seen.look(form, **{character.id: frozenset({state})})
        return sum(
            _doubt_over(each.separators)
            if state in states
            else _doubt_with(each, contrast(mine, each.look, character, form), form)
            for each, states in reported
        )

    return after


def _doubt_with(standing: Standing, more: Contrast, form: Form) -> float:
    if more.separates != "yes":
        return _doubt_over(standing.separators)
    return _doubt_over(_separators([*standing.contrasts, more], form))


def _doubt_over(found: int) -> float:
    return max(0, ENOUGH - found) / ENOUGH


def _warnings(left: list[Standing], region: str, month: int, form: Form) -> Iterator[str]:
    feared = [each.entry for each in left if is_feared(each.entry, form)]
    if month and (out := [each.name for each in feared if not _in_month(each, month)]):
        yield (
            f"{month_name[month]} lies outside the season recorded here of {', '.join(out)}. "
            "Seasons shift, so that rules none of them out."
        )
    if region and (away := sum(not _in_region(each, region) for each in feared)):
        yield (
            f"For {region}, nothing is recorded here of {away} of the {len(feared)} dangerous or unsettled taxa "
            "that are not ruled out. That rules none of them out."
        )
    if region:
        yield f"What else grows in {region} and harms, this dataset may not know."


def _in_month(entry: Entry, month: int) -> bool:
    """A season that is not recorded may be any."""
    season = entry.value.get("season") or {}
    return not {"from", "to"} <= season.keys() or month in months(season)


def _in_region(entry: Entry, region: str) -> bool:
    """A part of a country counts as in it, and the country as where its part is."""
    own = str(entry.value.get("region", ""))
    return bool(own) and (own == region or own.startswith(f"{region}-") or region.startswith(f"{own}-"))
