"""Two taxa character by character, in columns: what each looks like, what it is worth, how it is seen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import zip_longest
from textwrap import wrap

from sporeproof.confusion.appearance import Range
from sporeproof.confusion.pairing import Comparison, Row, Side
from sporeproof.findings import plain
from sporeproof.form.load import Form

WIDTH = 110
BETWEEN = "  "
WIDTHS = (22, 26, 26, 14, 12)

OUTCOMES = {
    "yes": "separates",
    "one-way": "one way only",
    "no": "overlaps",
    "unknown": "unknown",
    "not-applicable": "does not apply",
}
LACKS = {"unrecorded": "not recorded", "age": "not recorded for every age that counts"}
LEGEND = (
    "`also`: with age, by wear, or as an egg or button. `reported as`: what a careful person may say in its place. "
    "`counted as`: with room for small and odd ones. `*`: speaks for the one fruitbody examined. "
    "Weight: decisive 2, firm 1, supporting 0."
)


def side_by_side(pair: Comparison, form: Form) -> list[list[str]]:
    """Return one block of lines for each outcome: what separates first, what does not apply last."""
    blocks = [_group(pair, rows, title, form) for title, rows in _grouped(pair, form)]
    bare = [
        ("NOT RECORDED FOR EITHER", [row for row in pair.rows if _is_bare(row)]),
        ("DOES NOT APPLY TO ONE OF THE TWO", [row for row in pair.rows if row.separates == "not-applicable"]),
    ]
    return [folded(LEGEND, ""), *blocks, *(_titles(rows, title) for title, rows in bare)]


def _grouped(pair: Comparison, form: Form) -> list[tuple[str, list[Row]]]:
    """The rows by what they come to, in the order of handling a find."""
    methods = list(form.vocabularies["methods"])
    rows = sorted(pair.rows, key=lambda row: methods.index(row.character.seen_by))
    return [
        ("SEPARATES", [row for row in rows if row.separates == "yes" and row.full_weight]),
        ("SEPARATES, AND ONLY WARNS: never proof", [r for r in rows if r.separates == "yes" and not r.full_weight]),
        ("ONE WAY: only some of it differs, so it counts for nothing", [r for r in rows if r.separates == "one-way"]),
        ("OVERLAPS", [row for row in rows if row.separates == "no"]),
        ("UNKNOWN", [row for row in rows if row.separates == "unknown" and not _is_bare(row)]),
    ]


def _is_bare(row: Row) -> bool:
    return row.separates == "unknown" and {row.a.lacks, row.b.lacks} == {"unrecorded"}


def _group(pair: Comparison, rows: list[Row], title: str, form: Form) -> list[str]:
    if not rows:
        return []
    head = ("Character", f"A: {pair.a.name}", f"B: {pair.b.name}", "Weight", "Seen")
    rule = tuple("-" * width for width in WIDTHS)
    return [title, *table([head, rule, *(_cells(pair, row, form) for row in rows)], WIDTHS)]


def _titles(rows: list[Row], title: str) -> list[str]:
    return [title, *folded("; ".join(row.character.title for row in rows) + ".", BETWEEN)] if rows else []


def _cells(pair: Comparison, row: Row, form: Form) -> tuple[str, ...]:
    return (
        row.character.title,
        _cell(row, row.a, row.b, eaten=True, other=pair.both_ways, form=form),
        _cell(row, row.b, row.a, eaten=pair.both_ways, other=True, form=form),
        _weight(row, form),
        _seen(row, form),
    )


def _cell(row: Row, side: Side, opposite: Side, *, eaten: bool, other: bool, form: Form) -> str:
    if side.lacks:
        return _lacking(row, side, form)
    if side.status != "known":
        return OUTCOMES[side.status]
    measured = row.character.is_measured
    parts = _measured(row, side, other=other) if measured else _states(side, other=other)
    if eaten and row.separates == "one-way":
        parts += _beyond(row, side, opposite) if measured else [f"differs: {_listed(side.telling)}"]
    return "; ".join(parts)


def _lacking(row: Row, side: Side, form: Form) -> str:
    above = row.character.applies_if
    if side.lacks in LACKS or not above:
        return LACKS.get(side.lacks, OUTCOMES["unknown"])
    return f"unsure, as it hangs on: {label(above[0], form)}"


def _states(side: Side, *, other: bool) -> list[str]:
    """What is accepted; and where it may be the other one, what else it can look like or be taken for."""
    if not other:
        return [_listed(side.accepted) or "nothing is accepted"]
    worn = [id for id in side.shown if id not in side.accepted]
    if not side.accepted:
        return [_listed(side.shown)]
    parts = [_listed(side.accepted), f"also {_listed(worn)}" if worn else ""]
    parts.append(f"reported as {_listed(side.read_as)}" if side.read_as else "")
    return [each for each in parts if each]


def _measured(row: Row, side: Side, *, other: bool) -> list[str]:
    unit = row.character.unit
    own = side.range or side.recorded_range
    parts = [numbers(own, unit)] if own else []
    if not other and side.range is None:
        parts.append("no size is asked")
    if other and side.shown_range and side.shown_range != own:
        parts.append(f"counted as {numbers(side.shown_range, unit)}")
    return parts


def _beyond(row: Row, side: Side, opposite: Side) -> list[str]:
    """What of a range lies outside all that counts of the other."""
    if side.recorded_range is None or opposite.shown_range is None:
        return []
    (low, high), (least, most) = side.recorded_range, opposite.shown_range
    above = [f"differs: above {most:g} {row.character.unit}"] if high > most else []
    below = [f"differs: below {least:g} {row.character.unit}"] if low < least and not row.character.grows else []
    return above + below


def _weight(row: Row, form: Form) -> str:
    if row.contrast.alike:
        return f"{row.contrast.weight} (easily confused)"
    proof = title_of(form, "proofs", row.character.proof).lower()
    return f"{row.contrast.weight} ({proof})" if row.separates == "yes" else proof


def _seen(row: Row, form: Form) -> str:
    how = title_of(form, "methods", row.character.seen_by) + ("" if row.character.every else "*")
    return ", ".join([how, *(title_of(form, "readings", each).lower() for each in row.character.read_when)])


def _listed(states: Iterable[str]) -> str:
    return ", ".join(spoken(each) for each in states)


def numbers(range: Range, unit: str) -> str:
    """Return a range in words.

    >>> numbers((5.5, 70 * 1.2), "mm")
    '5.5 to 84 mm'
    """
    return f"{range[0]:g} to {range[1]:g} {unit}"


def spoken(id: str) -> str:
    """Return an id of the schema as one says it."""
    return id.replace("-", " ").replace("_", " ")


def label(id: str, form: Form) -> str:
    """Return the title of a character; the id as one says it for what is none."""
    return form.characters[id].title if id in form.characters else spoken(id).capitalize()


def title_of(form: Form, vocabulary: str, id: str) -> str:
    """Return the title of a word of a vocabulary, or the word where the vocabulary lacks it."""
    term = form.vocabularies[vocabulary].get(id)
    return term.title if term else id or LACKS["unrecorded"]


def folded(text: str, indent: str, width: int = WIDTH) -> list[str]:
    """Return a text as lines of at most ``width`` signs, each after the indent; an empty text is one empty line.

    Nothing stays in it that a terminal would obey.

    >>> folded("Gills crowded and cream", "  ", width=16)
    ['  Gills crowded', '  and cream']
    """
    lines = wrap(plain(" ".join(text.split())), width - len(indent), break_on_hyphens=False)
    return [f"{indent}{line}" for line in lines] or [""]


def table(rows: Iterable[Sequence[str]], widths: Sequence[int]) -> list[str]:
    """Return rows as lines after an indent of two, each cell folded to its column.

    >>> table([("ring", "present, zone"), ("milk", "none")], (4, 8))
    ['  ring  present,', '        zone', '  milk  none']
    """
    return [line for row in rows for line in _lines(row, widths)]


def _lines(row: Sequence[str], widths: Sequence[int]) -> list[str]:
    cells = [folded(cell, "", width) for cell, width in zip(row, widths, strict=True)]
    return [
        (BETWEEN + BETWEEN.join(cell.ljust(width) for cell, width in zip(line, widths, strict=True))).rstrip()
        for line in zip_longest(*cells, fillvalue="")
    ]
