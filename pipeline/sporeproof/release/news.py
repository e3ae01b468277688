"""The news of a version, computed from the data: what can harm first, the rest by whom it is about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from sporeproof.confusion.statistics import Figures
from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.release.changes import Change
from sporeproof.release.counted import counted
from sporeproof.release.editions import TAXA
from sporeproof.release.strictness import Kind
from sporeproof.release.version import Version
from sporeproof.tables.faults import Frames

# What is told together, in the order of the news; within a group the gravest kind comes first.
GROUPS = {
    "safety": (Kind.MILDER, Kind.EASED, Kind.MEANING, Kind.STRICTER, Kind.DANGER),
    "withdrawn": (Kind.WITHDRAWN,),
    "names": (Kind.NAMES,),
    "new": (Kind.ENTRY,),
    "changed": (Kind.VALUES, Kind.WORDS, Kind.SOURCES),
}
MEMORY = "edible on memory alone, looked up by nobody yet"
RELY = "Safety: read this before you rely on the data"


def news(
    version: Version,
    previous: str,
    changes: list[Change],
    frames: Frames,
    form: Form,
    figures: Sequence[Figures] = (),
) -> str:
    """Return the text of ``news.md``; ``previous`` is empty for a first version, ``figures`` are told at its end."""
    remembered = list(on_memory(frames, form))
    parts = [
        _head(version, previous),
        f"> {SAFETY_NOTE}",
        _briefly(changes, len(remembered), frames, first=not previous),
    ]
    parts += _part(RELY, _first(changes, remembered))
    parts += _part("Withdrawn", _lines(changes, Kind.WITHDRAWN), counted=True)
    parts += _part("Names", _lines(changes, Kind.NAMES), counted=True)
    parts += _part("New", _lines(changes, Kind.ENTRY), counted=True)
    parts += _part("Changed", _other(changes))
    parts += counted(frames, form, figures)
    return "\n\n".join(parts) + "\n"


def on_memory(frames: Frames, form: Form) -> Iterator[str]:
    """Yield id and name of each entry with an edible verdict that rests on the weakest evidence."""
    weakest = list(form.vocabularies["evidence"])[-1]
    for row in frames[TAXA].iter_rows(named=True):
        if form.is_edible(row["verdict"]) and row["evidence"] == weakest:
            yield f"{row['taxon_id']} {row['name']}"


def first_entries(frames: Frames, form: Form) -> list[Change]:
    """Return the entries of a first version, each a new one."""
    return [
        Change(
            Kind.ENTRY,
            TAXA,
            f"new entry, {form.vocabularies['verdicts'][row['verdict']].title}",
            row["taxon_id"],
            row["name"],
            key=(row["taxon_id"],),
            new=row["verdict"],
        )
        for row in frames[TAXA].iter_rows(named=True)
    ]


def _head(version: Version, previous: str) -> str:
    if not previous:
        return f"# {version.number}, the first"
    reason = f"\n\nA {version.raised} version, because: {version.because}" if version.raised else ""
    return f"# {version.number}, against {previous}{reason}"


def _briefly(changes: list[Change], remembered: int, frames: Frames, *, first: bool) -> str:
    counts = Counter(each.kind for each in changes)
    renamed = sum(1 for each in changes if each.kind is Kind.NAMES and each.table == TAXA)
    said = [
        (counts[Kind.MILDER] + counts[Kind.EASED], "milder"),
        (counts[Kind.MEANING], "changed in meaning"),
        (counts[Kind.STRICTER], "stricter"),
        (counts[Kind.WITHDRAWN], "withdrawn or merged"),
        (counts[Kind.DANGER], "new dangers"),
        (0 if first else counts[Kind.ENTRY], "new entries"),
        (renamed, "renamed"),
        (remembered, MEMORY),
    ]
    start = [f"first, {frames[TAXA].height} entries"] if first else []
    parts = start + [f"{count} {words}" for count, words in said if count]
    return f"Briefly: {', '.join(parts) or 'nothing that anybody must act on'}."


def _first(changes: list[Change], remembered: list[str]) -> list[str]:
    lines = [f"{_mark(kind)}{line}" for kind in GROUPS["safety"] for line in _lines(changes, kind)]
    return lines + [f"{each}: {MEMORY}" for each in remembered]


def _mark(kind: Kind) -> str:
    marks = {Kind.MILDER: "Milder", Kind.EASED: "Milder", Kind.STRICTER: "Stricter", Kind.DANGER: "New danger"}
    return f"{marks[kind]}: " if kind in marks else ""


def _lines(changes: list[Change], kind: Kind) -> list[str]:
    return sorted(each.line for each in changes if each.kind is kind)


def _other(changes: list[Change]) -> list[str]:
    """Return the rest: what is said of entries and tables, and how much was only reworded or sourced anew."""
    values = [each for each in changes if each.kind is Kind.VALUES]
    told = [each.line for each in values if each.table == TAXA or not each.subject]
    counts: dict[str, Counter[str]] = {}
    for each in values:
        if each.subject and each.table != TAXA:
            counts.setdefault(each.subject, Counter())[each.table] += 1
    for subject, tables in counts.items():
        told.append(f"{subject}: {', '.join(f'{name} ({tables[name]})' for name in sorted(tables))}")
    words = Counter(each.kind for each in changes)
    quiet = ((Kind.WORDS, "Only words"), (Kind.SOURCES, "Only sources"))
    return sorted(told) + [f"{title}: {words[kind]}" for kind, title in quiet if words[kind]]


def _part(title: str, lines: Iterable[str], *, counted: bool = False) -> list[str]:
    listed = [f"- {each}" for each in lines]
    if not listed:
        return []
    return [f"## {title}{f' ({len(listed)})' if counted else ''}\n\n" + "\n".join(listed)]
