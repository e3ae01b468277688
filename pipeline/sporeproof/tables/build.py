"""Entries to the rows of the release tables (data-model.md, 4): plain tuples, sorted by primary key.

One function a table, named after it. What the confusion engine and the name answers say is filled in later by
those who know it; their columns are None here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sporeproof.form.load import Form
from sporeproof.records.entry import Entry, source_ids
from sporeproof.tables.resolve import Checklist

Row = tuple[Any, ...]
Tables = dict[str, list[Row]]

BETWEEN = "|"
# How a pair is listed that a person answered instead of listing it.
DISMISSED = "dismissed"


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the tables are made of. ``sources``, ``protections`` and ``retired`` are the plain companions."""

    checklist: Checklist
    form: Form
    sources: dict[str, dict[str, Any]]
    protections: list[dict[str, Any]]

    @property
    def entries(self) -> list[Entry]:
        """The entries, in the order of their files."""
        return self.checklist.entries


def build(facts: Facts, only: Iterable[str] = ()) -> Tables:
    """Return the named tables, or all of them, each sorted by its first columns (empty ones first)."""
    return {name: sorted(set(rows), key=_order) for name, rows in unsorted(facts, only or TABLES).items()}


def unsorted(facts: Facts, only: Iterable[str]) -> Tables:
    """Return the rows of the named tables as they come, for those who do not mind their order."""
    return {name: list(TABLES[name](facts)) for name in only}


def _order(row: Row) -> tuple[tuple[bool, str, float], ...]:
    """Order by value: nothing first, then numbers by size, then texts by code point."""
    return tuple(
        (each is not None, "", float(each))
        if isinstance(each, int | float)
        else (each is not None, str(each or ""), 0.0)
        for each in row
    )


def joined(words: Iterable[str]) -> str | None:
    """Return a list as one cell, or None for an empty one."""
    return BETWEEN.join(words) or None


def evidence_of(entry: Entry, facts: Facts) -> str:
    """Return what the verdict rests on: the firmest kind among the sources that give it."""
    kinds = {kind_of(source, facts.sources) for source in verdict_sources(entry)}
    for id, term in facts.form.vocabularies["evidence"].items():
        if kinds & set(term.more.get("kinds", [])):
            return id
    return list(facts.form.vocabularies["evidence"])[-1]


def verdict_sources(entry: Entry) -> list[str]:
    """Return the sources of the opinions that give the entry's verdict."""
    return sorted(
        {each["source"] for each in entry.opinions if each.get("verdict") == entry.verdict and "source" in each}
    )


def kind_of(source: str, sources: dict[str, dict[str, Any]]) -> str:
    """Return the kind of a source; the built-in ones are their own kind."""
    return str(sources[source]["kind"]) if "kind" in sources.get(source, {}) else source


def months(season: dict[str, Any]) -> list[int]:
    """Return the months of a season, which may wrap over the year's end.

    >>> months({"from": 11, "to": 2})
    [11, 12, 1, 2]
    """
    first, last = season["from"], season["to"]
    return [(first + step - 1) % 12 + 1 for step in range((last - first) % 12 + 1)]


def _taxa(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        review = entry.value.get("review") or {}
        yield (
            entry.key, entry.name, entry.authorship or None, entry.rank, entry.value.get("family"),
            entry.value.get("region"), entry.verdict, entry.edibility.get("severity"),
            joined(verdict_sources(entry)), evidence_of(entry, facts), review.get("state"), review.get("on"),
            None, None,
        )  # fmt: skip


def _names(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        for each in entry.names():
            yield each.name, each.authorship or None, entry.key, each.role, None, None, None, None


def _vernaculars(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        for language, position, name in entry.vernaculars():
            yield entry.key, language, name, position == 0


def _characters(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        default = entry.sources("characters")
        for id, value in entry.characters.items():
            if not value.is_range:
                sources = joined(value.sources or default)
                for stage, states in value.by_stage.items():
                    for state in states:
                        yield entry.key, id, stage, state, sources


def _measurements(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        default = entry.sources("characters")
        for id, value in entry.characters.items():
            if value.is_range and id in facts.form.characters:
                unit, sources = facts.form.characters[id].unit, joined(value.sources or default)
                for stage, (low, high) in value.by_stage.items():
                    yield entry.key, id, stage, low, high, unit, sources


def _words(given: Callable[[Entry], Iterable[str]]) -> Callable[[Facts], Iterator[Row]]:
    """Return the function of a table that holds one word a row."""
    return lambda facts: ((entry.key, id) for entry in facts.entries for id in given(entry))


def _accept_only(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        for id, states in entry.accept_only.items():
            for state in states:
                if isinstance(state, str):
                    yield entry.key, id, state


def _accept_ranges(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        for id, given in entry.accept_only.items():
            if id in facts.form.characters and not any(isinstance(each, str) for each in given):
                yield entry.key, id, *given, facts.form.characters[id].unit


def _opinions(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        for each in entry.opinions:
            yield entry.key, each["source"], each["verdict"]


def _settings(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        sources = joined(entry.sources("setting"))
        for value in entry.value.get("substrate") or []:
            yield entry.key, "substrate", value, None, sources
        for value in entry.value.get("habitat") or []:
            yield entry.key, "habitat", value, None, sources
        for strength, genera in (entry.value.get("hosts") or {}).items():
            for genus in genera:
                yield entry.key, "host", genus, strength, sources


def _seasons(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        if season := entry.value.get("season"):
            sources, peak = joined(entry.sources("setting")), season.get("peak") or []
            for month in months(season):
                yield entry.key, entry.value.get("region"), month, month in peak, sources


def _confusions(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        default = entry.sources("confusions")
        listed: dict[str, Row] = {}
        for each in entry.dismissed:
            if other := facts.checklist.find(each["with"]).one:
                listed[other.key] = (DISMISSED, each.get("because"), None, joined(source_ids(each.get("source"))))
        for each in entry.confusions:
            if other := facts.checklist.find(each["with"]).one:
                sources = joined(source_ids(each.get("source")) or default)
                listed[other.key] = ("authored", each.get("note"), joined(each.get("hints") or []), sources)
        for key, cells in listed.items():
            yield entry.key, key, *cells, None, None, None


def _distinctions(facts: Facts) -> Iterator[Row]:
    for entry in facts.entries:
        for each in entry.confusions:
            if other := facts.checklist.find(each["with"]).one:
                for id in each.get("told_apart_by") or []:
                    yield entry.key, other.key, id, True, None


def _protections(facts: Facts) -> Iterator[Row]:
    for each in facts.protections:
        taxon = facts.checklist.find(each["name_as_listed"]).one
        for territory in each["territories"]:
            yield (
                each["instrument"], each["name_as_listed"], territory, taxon.key if taxon else None,
                each.get("section"), joined(each["acts"]), each.get("since"),
                next(iter(source_ids(each["source"])), None), each.get("checked_on"),
            )  # fmt: skip


def _sources(facts: Facts) -> Iterator[Row]:
    for id, each in facts.sources.items():
        yield id, each["kind"], each["citation"], each.get("year"), each.get("doi"), each.get("isbn"), each.get("url")
    for id, term in facts.form.vocabularies["source-kinds"].items():
        if "built-in" in term.flags:
            yield id, id, term.definition, None, None, None, None


def _catalogue(facts: Facts) -> Iterator[Row]:
    for each in facts.form.characters.values():
        controller, states = each.applies_if or (None, frozenset())
        yield (
            each.id, each.position, each.title, each.part, each.witness, each.kind, each.proof, each.seen_by,
            joined(each.read_when), each.every, each.unit or None, each.tolerance if each.is_measured else None,
            each.grows if each.is_measured else None, controller, joined(sorted(states)),
        )  # fmt: skip


def _states(facts: Facts) -> Iterator[Row]:
    for character in facts.form.characters.values():
        for position, each in enumerate(character.states.values(), 1):
            links = (joined(sorted(link)) for link in (each.may_turn_into, each.near, each.like))
            yield character.id, each.id, position, each.means, *links


def _implications(facts: Facts) -> Iterator[Row]:
    for position, each in enumerate(facts.form.implications, 1):
        yield (
            position, each.when_character, joined(sorted(each.when_states)), each.unless_character,
            joined(sorted(each.unless_states)), each.adds_character, joined(each.adds_states),
        )  # fmt: skip


def _terms(facts: Facts) -> Iterator[Row]:
    for vocabulary, terms in facts.form.vocabularies.items():
        for each in terms.values():
            yield vocabulary, each.id, each.title, each.definition, joined(sorted(each.flags))


def _onsets(facts: Facts) -> Iterator[Row]:
    for syndrome, term in facts.form.vocabularies["syndromes"].items():
        for each in term.more.get("onsets") or []:
            yield syndrome, each["source"], each["phase"], each.get("low_h"), each.get("high_h")


def _retired(facts: Facts) -> Iterator[Row]:
    for id, each in facts.checklist.retired.items():
        replaced, consider = (joined(each.get(key) or []) for key in ("replaced_by", "consider"))
        yield id, each["was"], replaced, consider, each["since"], each["because"]


def _empty(facts: Facts) -> Iterator[Row]:
    """The engine fills this table."""
    return iter(())


TABLES: dict[str, Callable[[Facts], Iterator[Row]]] = {
    "taxa": _taxa,
    "names": _names,
    "vernaculars": _vernaculars,
    "characters": _characters,
    "measurements": _measurements,
    "needs": _words(lambda entry: entry.needs),
    "cautions": _words(lambda entry: entry.cautions),
    "uses": _words(lambda entry: entry.value.get("uses") or []),
    "accept_only": _accept_only,
    "accept_ranges": _accept_ranges,
    "opinions": _opinions,
    "taxa_syndromes": _words(lambda entry: entry.syndromes),
    "settings": _settings,
    "seasons": _seasons,
    "confusions": _confusions,
    "distinctions": _distinctions,
    "proofs": _empty,
    "unexcluded": _empty,
    "protections": _protections,
    "sources": _sources,
    "catalogue": _catalogue,
    "states": _states,
    "implications": _implications,
    "terms": _terms,
    "onsets": _onsets,
    "retired": _retired,
    "notices": _empty,
}
