"""The review of names in Markdown: what changed, what is open, the edit each needs, and the entries it touches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.names.outcome import (
    DOUBTFUL,
    HIGHER_ONLY,
    HOMONYM,
    MERGED,
    RENAMED,
    RESPELLED,
    SPLIT,
    UNASKED,
    UNKNOWN,
)
from sporeproof.names.reviewing import BACK, DIFFER, ELSEWHERE, KINDS, TOO_OLD, Reviewed, Touch
from sporeproof.report.markdown import escaped, pipe_table
from sporeproof.report.summary import counted

TITLES = {
    SPLIT: ("Several taxa now", "The old advice may be about either. A person writes the parts."),
    HOMONYM: ("The same spelling means several", "Give the authorship, or choose the taxon that the entry is about."),
    MERGED: ("Two entries, one taxon", "Whoever finds the milder entry eats by it."),
    RENAMED: ("Called otherwise today", "People look for the new name and would miss the entry, or what it warns of."),
    ELSEWHERE: (
        "Former names that lead to another taxon",
        "Take the name out, give it the kind for a name used by mistake, or list the accepted name too.",
    ),
    DOUBTFUL: ("Doubtful", "Kept as it is until somebody settles whom the name means."),
    HIGHER_ONLY: ("Only something higher was found", "That is no answer on a species. Look the name up elsewhere."),
    RESPELLED: ("Spelt otherwise", "Only a suggestion: compare with the place where the name was published."),
    UNKNOWN: ("Not held", "Look for a slip, give the authorship, or excuse the finding with the reason."),
    BACK: ("Moved back", "Accepted again. A finding that was excused for it may be needless now."),
    UNASKED: ("Never asked", "Ask with `sporeproof names refresh`."),
    TOO_OLD: ("Asked too long ago", "Ask again with `sporeproof names refresh`."),
    DIFFER: ("Answers that disagree", "See `sporeproof names check --opinions`. Nothing need be done."),
}
# These need no edit of their own, and a row is enough.
LISTED = frozenset({BACK, UNASKED, TOO_OLD, DIFFER})
MOST_TOUCHED = 40
READ = (
    "This report proposes, a person decides: read every edit before it is made, and see that nothing was softened. "
    "No command here changes a verdict, a need, a caution or a confusion."
)


@dataclass(frozen=True, slots=True)
class Review:
    """What a review looks at: the day, what it compares with (empty for nothing), how many names, and what it found.

    ``limit`` tells what is too old, ``unread`` what could not be read, both in a sentence.
    """

    day: str
    against: str
    names: int
    found: Sequence[Reviewed]
    limit: str = ""
    unread: str = ""


def review_markdown(review: Review) -> str:
    """Return the review as Markdown, the most urgent first, the safety note last."""
    parts = [[f"# Names, reviewed on {review.day}"], list(_opening(review))]
    for kind in KINDS:
        if of_kind := [each for each in review.found if each.kind == kind]:
            parts += _section(kind, of_kind, review)
    parts.append([READ])
    parts.append([f"**{SAFETY_NOTE}**"])
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _opening(review: Review) -> Iterator[str]:
    against = f"Compared with {escaped(review.against)}." if review.against else "Compared with nothing."
    yield f"{counted(review.names, 'name')} looked at. {against} {escaped(review.limit)}".rstrip()
    if review.unread:
        yield f"\n**{escaped(review.unread)}**"
    if not review.found:
        yield "\nNothing needs an edit."
        return
    rows = []
    for kind in KINDS:
        of_kind = [each for each in review.found if each.kind == kind]
        changed = str(sum(each.changed for each in of_kind)) if review.against else "not compared"
        if of_kind:
            rows.append((TITLES[kind][0], changed, str(len(of_kind))))
    yield ""
    yield from pipe_table(("what", "changed since", "in all"), rows)


def _section(kind: str, found: Sequence[Reviewed], review: Review) -> list[list[str]]:
    title, says = TITLES[kind]
    parts = [[f"## {title} ({len(found)})"], [says]]
    if kind in LISTED:
        return [*parts, _rows(kind, found)]
    return [*parts, *(part for each in found for part in _told(each, bool(review.against)))]


def _rows(kind: str, found: Sequence[Reviewed]) -> list[str]:
    """Return one row for each name."""
    head = ("name", "of", "stands in", "says", "others say" if kind == DIFFER else "was")
    rows = [
        (
            f"{each.name} {each.authorship}".strip(),
            each.taxon,
            f"{each.at.file}:{each.at.line}",
            each.says or "nothing",
            each.leads_to if kind == DIFFER else each.was or "-",
        )
        for each in found
    ]
    return pipe_table(head, rows)


def _told(each: Reviewed, compared: bool) -> Iterator[list[str]]:
    """Yield the parts of what is told of one name: facts, commands, reasons with their steps."""
    yield [f"### {escaped(f'{each.name} {each.authorship}'.strip())}: {_now(each, compared)}"]
    yield list(_facts(each))
    if each.commands:
        several = len(each.commands) > 1
        yield ["Take one of these, after you have read what it does (`--dry-run`):" if several else "The edit:"]
        yield ["```sh", *(plain(command) for command in each.commands), "```"]
    if each.reason:
        yield [escaped(f"Not yet: {each.reason}" if each.commands else each.reason)]
    if each.todo:
        yield [f"{number}. {escaped(step)}" for number, step in enumerate(each.todo, 1)]


def _now(each: Reviewed, compared: bool) -> str:
    if not compared:
        return each.now
    if not each.was:
        return f"new here, {each.now}"
    return f"was {each.was}, is {each.now}" if each.changed else f"still {each.now}"


def _facts(each: Reviewed) -> Iterator[str]:
    what = f"{each.role} name of {each.taxon} ({each.taxon_id}), {_loud(each.verdict)}"
    yield f"- {escaped(what)}, in `{_path(each.at.file)}:{each.at.line}`"
    if each.leads_to:
        yield f"- offered: {escaped(each.leads_to)}"
    yield f"- {escaped(each.says)}" if each.says else "- no answer is on record"
    if not each.touches:
        yield "- nothing refers to this entry"
        return
    shown, more = each.touches[:MOST_TOUCHED], len(each.touches) - MOST_TOUCHED
    listed = ", ".join(_touch(touch) for touch in shown) + (f" and {more} more" if more > 0 else "")
    yield f"- {counted(len(each.touches), 'reference')} to this entry: {listed}"


def _loud(verdict: str) -> str:
    return verdict.upper().replace("-", " ") or "NO VERDICT"


def _touch(touch: Touch) -> str:
    return f"{escaped(touch.taxon)} (`{_path(touch.at.file)}:{touch.at.line}`, by {escaped(touch.word)})"


def _path(path: str) -> str:
    """Return a path that cannot end the code span in which it stands."""
    return plain(path).replace("`", "'")
