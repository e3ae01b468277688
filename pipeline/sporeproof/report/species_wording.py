"""Words for what is told of a species: paragraphs, values, seasons, onsets, citations."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator

from sporeproof.findings import plain
from sporeproof.records.entry import UNSTAGED
from sporeproof.report.species_subject import Told

WIDTH = 100
STEP = "  "
DAY = 24
NOT_RECORDED = "not recorded"
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def paragraph(text: str, depth: int = 0) -> str:
    """Return a paragraph, wrapped; its further lines stand one step in, so that a list can be told apart."""
    tidy = plain(" ".join(text.split()))
    hang = STEP * (depth + 1)
    return textwrap.fill(tidy, WIDTH, initial_indent=STEP * depth, subsequent_indent=hang, break_on_hyphens=False)


def onset_lines(onsets: list[Told]) -> Iterator[str]:
    """Return a line for each phase, with the range of every source: none of them is averaged."""
    phases = {each["phase"]["id"]: each["phase"] for each in onsets}
    for id, phase in phases.items():
        ranges = [f"{_hours(each)} {bracketed([each])}" for each in onsets if each["phase"]["id"] == id]
        yield f"{phase['title']} ({lower(phase['definition']).rstrip('.')}): {'; '.join(ranges)}"


def _hours(onset: Told) -> str:
    """Return a range in hours, in days too where it is long; an end that no source gives is left open."""
    low, high = onset["low_h"], onset["high_h"]
    longest = max(each for each in (low, high, 0) if each is not None)
    days = f" ({_span(low, high, DAY)} days)" if longest >= 2 * DAY else ""
    return f"{_span(low, high)} hours{days}"


def _span(low: float | None, high: float | None, by: int = 1) -> str:
    first, last = (f"{round(each / by, 2):g}" if each is not None else "" for each in (low, high))
    if first and last:
        return first if first == last else f"{first} to {last}"
    return f"from {first}" if first else f"up to {last}"


def side(who: str, seen: Told) -> str:
    """Return how one side of a pair shows a character; what is accepted of an edible one may be less than that."""
    if seen["status"] != "known":
        return f"{who}: {seen['status'].replace('-', ' ')}"
    accepted = ", as accepted" if seen["accepted"] else ""
    return f"{who}{accepted}: {in_words(seen) or 'any size'}"


def by_stage(character: Told) -> str:
    """Return the values by age; each state is explained where it is met first."""
    seen: set[str] = set()
    ages = [
        ("" if each["stage"] == UNSTAGED else f"{each['stage']}: ") + in_words(each, seen)
        for each in character["values"]
    ]
    if character["follows"]:
        ages.append(f"not written, but to be reckoned with: {in_words({'states': character['follows']}, seen)}")
    return "; ".join(ages)


def in_words(value: Told, seen: set[str] | None = None) -> str:
    """Return a range with its unit, or the states: with their meanings, unless in ``seen``, where that is given."""
    if "low" in value:
        return f"{value['low']:g} to {value['high']:g} {value['unit_title'].lower()}s"
    return ", ".join(_state(each, seen) for each in value["states"])


def _state(state: Told, seen: set[str] | None) -> str:
    means = lower(state["means"]).rstrip(".")
    if seen is None or state["id"] in seen or not means or means == state["id"].replace("-", " "):
        return str(state["id"])
    seen.add(state["id"])
    return f"{state['id']} ({means})"


def season(months: list[int], peak: list[int]) -> str:
    """Return the months, and those in which most are found."""
    if not months:
        return NOT_RECORDED
    named = MONTHS[months[0] - 1], MONTHS[months[-1] - 1]
    span = "in every month" if len(months) == len(MONTHS) else f"{named[0]} to {named[1]}"
    most = [MONTHS[each - 1] for each in peak if 1 <= each <= len(MONTHS)]
    return span + (f", most in {', '.join(most)}" if most else "")


def sources_counted(sourced: list[Told]) -> str:
    """Return the sources of several things, and of how many of them where there is more than one."""
    counts = Counter(bracketed(each["sources"]) for each in sourced)
    if len(sourced) == 1:
        return next(iter(counts))
    return ", ".join(f"{number} from {source}" for source, number in counts.most_common()) or NOT_RECORDED


def bracketed(sources: list[Told]) -> str:
    """Return the ids of the sources, each explained at the end of the text."""
    named = [each["source_id"] + (f", recalling {each['recalls']}" if each["recalls"] else "") for each in sources]
    return f"[{'; '.join(named)}]" if named else "no source given"


def with_verdicts(each: Told) -> str:
    """Return the names that a link leads to, the verdict loud beside each."""
    if not each["taxa"]:
        return f"{each['written']}: NOT IN THIS CHECKLIST, so nothing here says how dangerous it is"
    return " or ".join(f"{taxon['name']}: {taxon['verdict']['title'].upper()}" for taxon in each["taxa"])


def full(term: Told) -> str:
    """Return a word of the schema with its definition."""
    return f"{term['title']}: {term['definition']}" if term["definition"] else str(term["title"])


def titles(terms: Iterable[Told]) -> str:
    """Return the titles of several words, as they stand in a sentence."""
    return ", ".join(lower(each["title"]) for each in terms)


def definitions(terms: list[Told]) -> str:
    """Return the titles of several words, each with its definition."""
    return "; ".join(f"{lower(each['title'])} ({lower(each['definition']).rstrip('.')})" for each in terms)


def lower(text: str) -> str:
    """Return a text as it stands within a sentence; what begins with two capitals is left alone."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]
