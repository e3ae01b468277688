"""What a person may choose where answers leave a name open, and which answer stands behind the choice.

A choice is a person's, but never free: it must be a name that an answer on record offers.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from sporeproof.form.load import Form
from sporeproof.names.answers import Answer
from sporeproof.names.matching.asked import OWN_MARKS
from sporeproof.names.outcome import CURRENT, DOUBTFUL, HOMONYM, MERGED, RENAMED, RESPELLED, SPLIT, UNASKED, Use
from sporeproof.names.spelling import spelling_of
from sporeproof.tables.resolve import spelled

BETWEEN = ";"
VERSION = re.compile(r"(?:0|[1-9][0-9]*)(?:\.(?:0|[1-9][0-9]*)){2}")
# Where the answer that speaks names one taxon, only that one may be chosen.
DECIDED = frozenset({RENAMED, MERGED, RESPELLED})
OPEN = frozenset({*DECIDED, SPLIT, HOMONYM, DOUBTFUL})


@dataclass(frozen=True, slots=True)
class Choices:
    """What a person chose: new names by old ones; and for ids that end, since when, and the text that lists them."""

    accept: dict[str, str] = field(default_factory=dict)
    since: str = ""
    retired: str = ""


class ChoiceRefused(Exception):
    """A choice that cannot be understood, or of a name that no entry bears; the message says why."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A name that an answer offers for another one, its authors where they are told, and the answer."""

    name: str
    authorship: str
    answer: Answer

    @property
    def whole(self) -> str:
        """The name with its authors."""
        return f"{self.name} {self.authorship}".strip()


def read_choices(words: Iterable[str]) -> dict[str, str]:
    """Return new names by old ones; raises :class:`ChoiceRefused` for what is not ``OLD=NEW``, or says two things."""
    chosen: dict[str, str] = {}
    for word in words:
        old, sign, new = word.partition("=")
        if not sign or not old.strip() or not new.strip() or "=" in new:
            raise ChoiceRefused(f'`{word}` is no choice: write it as "Old name=New name".')
        if chosen.setdefault(spelled(old), spelled(new)) != spelled(new):
            raise ChoiceRefused(f"For {spelled(old)} two names are chosen, {chosen[spelled(old)]} and {spelled(new)}.")
    return chosen


def read_since(text: str) -> str:
    """Return a version of the data; raises :class:`ChoiceRefused` for what is none."""
    if text and not VERSION.fullmatch(text):
        raise ChoiceRefused(f"`{text}` is no version of the data: write three numbers, such as 1.2.0.")
    return text


def marks_of(name: str, authorship: str) -> list[str]:
    """Return the marks in a name or its authorship that say it is meant otherwise than it stands, such as auct."""
    return [found[0] for found in OWN_MARKS.finditer(f"{name} {authorship}")]


def offers(use: Use, form: Form) -> list[Offer]:
    """Return what the answers on record offer for a name, the answer that speaks first."""
    answers = [each for each in (use.outcome.answer, *use.outcome.opinions) if each]
    return list(dict.fromkeys(offer for answer in answers for offer in _offered(answer, form)))


def _offered(answer: Answer, form: Form) -> Iterator[Offer]:
    if name := spelled(answer.accepted_name):
        yield Offer(name, answer.accepted_authorship.strip(), answer)
    for each in answer.candidates.split(BETWEEN):
        if each.strip():
            yield Offer(*parted(each, form), answer)


def parted(text: str, form: Form) -> tuple[str, str]:
    """Return the name and the authors in a text that holds both."""
    terms = spelling_of(form.folder).terms.values()
    words = text.split()
    length = 1 + (len(words) > 1 and words[1][:1].islower())
    while len(words) > length + 1 and length > 1 and words[length] in terms and words[length + 1][:1].islower():
        length += 2
    return " ".join(words[:length]), " ".join(words[length:])


def settled(use: Use, new: str, form: Form) -> tuple[Use, str]:
    """Return a use as if its answer gave the chosen name alone, and why that cannot be, empty where it can."""
    old, outcome = use.name.name, use.outcome
    if outcome.outcome == UNASKED:
        return (
            use,
            f"No answer is on record for {old}, so none offers {new}: ask first with `sporeproof names refresh`.",
        )
    found = offers(use, form)
    listed = "; ".join(dict.fromkeys(each.whole for each in found)) or "nothing"
    if outcome.outcome not in OPEN:
        keeps = "keeps it as it is" if outcome.outcome == CURRENT else f"calls it {outcome.outcome}"
        return use, f"The answer that speaks on {old} {keeps}, so there is nothing to choose. Offered: {listed}."
    speaking = [each for each in found if each.answer is outcome.answer]
    fitting = [each for each in found if new in {each.name, spelled(each.whole)}]
    if not fitting:
        return use, f"No answer on record offers {new} for {old}. Offered: {listed}."
    if outcome.outcome in DECIDED and not any(each in speaking for each in fitting):
        return use, f"Only a second opinion offers {new}; the answer that speaks leads to {_first(speaking)}."
    if len({each.authorship for each in fitting} - {""}) > 1:
        return use, f"{new} is offered with several authors: choose one with its authors. Offered: {listed}."
    best = fitting[0]
    if best.name == spelled(old):
        return use, _only_authors(use, best)
    answer = replace(best.answer, accepted_name=best.name, accepted_authorship=best.authorship)
    return replace(use, outcome=replace(outcome, answer=answer)), ""


def _first(offered: list[Offer]) -> str:
    return offered[0].whole if offered else "no name at all"


def _only_authors(use: Use, offer: Offer) -> str:
    wanted = f"write `authorship: {offer.authorship}` into {use.entry.file}" if offer.authorship else "give its authors"
    return f"{use.name.name} is spelt so already; what is open is whose name is meant: {wanted}."
