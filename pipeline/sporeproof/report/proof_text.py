"""A proof in words, for a terminal and in Markdown: what to look at, and at once what that does not exclude."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from sporeproof.confusion.proof import Proof
from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.report import species_wording as say
from sporeproof.report.markdown import escaped
from sporeproof.report.proof_told import told_of
from sporeproof.report.species_subject import Told


@dataclass(frozen=True, slots=True)
class Line:
    """A line below a heading, or below another line; ``number`` where it is an item of the list."""

    text: str
    depth: int = 1
    number: int = 0


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with its lines; a section that has none is left out."""

    heading: str
    lines: list[Line]


def proof_text(proof: Proof, form: Form) -> str:
    """Return a proof in words, at most 100 columns wide, without the safety note, which its caller adds."""
    return "\n".join(
        "\n".join([say.paragraph(each.heading), *map(_as_text, each.lines), ""]) for each in _told(proof, form)
    )


def _as_text(line: Line) -> str:
    return say.paragraph(f"{line.number}. {line.text}" if line.number else line.text, line.depth)


def proof_markdown(proof: Proof, form: Form) -> str:
    """Return a proof as a page in Markdown, the safety note at its end."""
    head, *others = _told(proof, form)
    parts = [[f"# {escaped(head.heading)}", *map(_as_bullet, head.lines)]]
    parts += [[f"## {escaped(each.heading)}", *map(_as_bullet, each.lines)] for each in others]
    return "\n\n".join([*("\n".join([part[0], "", *part[1:]]) for part in parts), escaped(SAFETY_NOTE)]) + "\n"


def _as_bullet(line: Line) -> str:
    bullet = f"{line.number}." if line.number else "-"
    return f"{'    ' * (line.depth - 1)}{bullet} {escaped(line.text)}"


def _told(proof: Proof, form: Form) -> list[Section]:
    told = told_of(proof, form)
    sections = [each for section in SECTIONS for each in section(told)]
    return [each for each in sections if each.lines]


# --- What it is, and how to use the list ---


def _head(told: Told) -> Iterator[Section]:
    lines = [
        *(f"Everyday names ({language}): {', '.join(names)}" for language, names in told["vernacular"].items()),
        f"Verdict: {told['verdict']['title'].upper()}. {told['verdict']['definition']}",
        f"Grade of proof: {told['grade']['title'].upper()}. {told['grade']['definition']}",
        *(
            []
            if told["proven"]
            else ["THE LISTS BELOW DO NOT PROVE IT. They say what speaks for it, and what is left."]
        ),
        *([] if told["vouched"] else [f"NOBODY HAS REVIEWED THIS ENTRY. {say.full(told['review_state'])}"]),
    ]
    yield Section(f"What to look at before {told['name']} ({told['taxon_id']}) is accepted", list(map(Line, lines)))


def _rule(told: Told) -> Iterator[Section]:
    number = told["suspects"]
    compared = f"{number} suspect{'' if number == 1 else 's'} of this dataset" if number else "NO SUSPECT AT ALL"
    ages = " or ".join(
        f"{say.lower(each['title'])} ({say.lower(each['definition']).rstrip('.')})" for each in told["stages"]
    )
    lines = [
        "Each fruitbody passes every item or is left. An item that cannot be read fails.",
        *([f"Of this age only: {ages}. Any other is left, even if it is this species."] if ages else []),
        f"Compared with {compared}. What is not in the dataset is not ruled out by any of this.",
    ]
    yield Section("How to use the lists", list(map(Line, lines)))


# --- The lists, none without what it does not exclude ---


def _lists(told: Told) -> Iterator[Section]:
    former: list[Told] = []
    for at, each in enumerate(told["lists"]):
        yield Section(
            f"{each['level']['title']}: {say.lower(each['level']['definition']).rstrip('.')}", list(_items(each, at))
        )
        left = each["does_not_exclude"]
        again = at > 0 and left == former
        heading = f"Not excluded at the level “{say.lower(each['level']['title'])}”: {_number(left, told)}"
        yield Section(heading, list(_left(left, told, again=again)))
        former = left


def _items(each: Told, at: int) -> Iterator[Line]:
    new = [item for item in each["items"] if item["character"] in each["adds"]]
    if at:
        yield Line("All of the list above, and:" if new else "Adds nothing to the list above.")
    elif not new:
        yield Line("Nothing is on the list. An empty list proves nothing.")
    for item in new:
        yield from _item(item)


def _item(item: Told) -> Iterator[Line]:
    yield Line(f"{item['title']}: accept {say.in_words(item['accept'], set()) or NOTHING}", 1, item["position"])
    yield Line(f"How: {say.definitions([item['seen_by']])}", 2)
    yield from (Line(f"Read only when: {say.lower(each['definition'])}", 2) for each in item["read_when"])
    if not item["every"]:
        yield Line(ALONE, 2)
    yield Line(f"Counts against {_suspects(item['rules_out'])}.", 2)


NOTHING = "nothing: what is accepted and what is recorded do not meet, so every fruitbody is left"
ALONE = "It speaks for the one fruitbody examined; each of its neighbours has to pass by itself."


def _suspects(number: int) -> str:
    return "1 suspect" if number == 1 else f"{number or 'no'} suspects"


def _number(left: list[Told], told: Told) -> str:
    missing = len(told["missing"])
    return f"{len(left)}" + (f", and {missing} not compared" if missing else "")


def _left(left: list[Told], told: Told, *, again: bool) -> Iterator[Line]:
    if again and left:
        yield Line(f"As above: {'; '.join(_named(each) for each in left)}")
    else:
        yield from (Line(_short(each)) for each in left)
    if told["missing"]:
        yield Line(
            f"It had to be compared with these and was not, so nothing rules them out: {'; '.join(told['missing'])}"
        )
    elif not left:
        yield Line("None of those compared is short of what is required. Others were not compared.")


def _short(each: Told) -> str:
    told = "Told apart too thinly" if each["separators"] else "Nothing on the list tells it apart"
    return f"{_named(each)}. {told} ({each['separators']} of the {each['required']} required)."


def _named(each: Told) -> str:
    """Return a suspect with what it does to whoever takes it for this one; a leave to eat is never read there."""
    if each["needs"]:
        return f"{each['name']}: POISONS UNLESS PREPARED IN ITS OWN WAY ({say.titles(each['needs'])})"
    return f"{each['name']}: {each['verdict']['title'].upper() or 'NO VERDICT'}"


# --- What holds once it is accepted ---


def _words(heading: str, key: str) -> Callable[[Told], Iterator[Section]]:
    """Return what tells the words of one kind with their definitions."""
    return lambda told: iter([Section(heading, [Line(say.full(each)) for each in told[key]])])


def _grade(told: Told) -> Iterator[Section]:
    shares = ", ".join(f"{say.lower(each['level']['title'])} {percent(each['share'])}" for each in told["lists"])
    lines = [say.full(told["grade"])]
    if told["reason"] != told["grade"]["definition"]:
        lines.append(f"Why: {told['reason'] or 'no reason is given'}")
    lines.append(
        f"Of all the looks that its own entry lists, the lists accept: {shares}. What they do not accept is left."
    )
    yield Section("Grade of proof", list(map(Line, lines)))


def percent(share: float) -> str:
    """Return a share in words; only all is called all of it, and only nothing none.

    >>> percent(1), percent(0.999), percent(0.004), percent(0)
    ('100 %', '99 %', 'under 1 %', '0 %')
    """
    whole = int(share * 100 + 1e-9)
    return f"{whole} %" if whole or not share else "under 1 %"


SECTIONS: tuple[Callable[[Told], Iterator[Section]], ...] = (
    _head,
    _rule,
    _lists,
    _words("Never without", "needs"),
    _words("Cautions", "cautions"),
    _grade,
)
