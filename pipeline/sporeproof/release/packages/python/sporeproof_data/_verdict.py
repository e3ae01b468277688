"""What may be said of eating a taxon, and what it can be taken for. The one is not to be had without the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ._facts import Accepted, Onset, Opinion, Review, Term, fact, facts
from ._other import Answered, Confusion, dangerous_first
from ._read import index

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import NoReturn


class Verdict:
    """What may be said of eating a taxon, with all that it hangs on.

    It is no yes or no: asked for one, or compared with a word, it raises TypeError. Printed, it always tells the whole.
    ``id`` is the bare word; whoever shows it shows the rest beside it.
    """

    __slots__ = ("_record",)

    def __init__(self, record: dict[str, Any]) -> None:
        self._record = record

    @property
    def _told(self) -> dict[str, Any]:
        told: dict[str, Any] = self._record["edibility"]
        return told

    @property
    def id(self) -> str:
        """The word of the verdict; the schema of the release lists all of them, from the most cautious."""
        return str(self._told["verdict"]["id"])

    @property
    def title(self) -> str:
        """What the verdict is called."""
        return str(self._told["verdict"]["title"])

    @property
    def definition(self) -> str:
        """What the verdict means."""
        return str(self._told["verdict"]["definition"])

    @property
    def taxon_id(self) -> str:
        """The taxon that it is about."""
        return str(self._record["id"])

    @property
    def needs(self) -> tuple[Term, ...]:
        """What must be done; without it the verdict does not hold."""
        return facts(Term, self._told["needs"])

    @property
    def cautions(self) -> tuple[Term, ...]:
        """What must be told to whoever hears the verdict."""
        return facts(Term, self._told["cautions"])

    @property
    def accept_only(self) -> tuple[Accepted, ...]:
        """What a specimen must show, all of it, so that the verdict covers it; empty for no such limit."""
        return facts(Accepted, self._told["accept_only"])

    @property
    def confusions(self) -> tuple[Confusion, ...]:
        """What it can be taken for, the most dangerous first; also the unreviewed ones. Empty means none recorded."""
        return tuple(map(Confusion, dangerous_first(self._told["confusions"])))

    @property
    def answered(self) -> tuple[Answered, ...]:
        """What the comparison held for alike and a person answered, in the same order: a reason, no clearance."""
        return tuple(map(Answered, dangerous_first(self._told["answered"])))

    @property
    def syndromes(self) -> tuple[Syndrome, ...]:
        """What it does to those who eat it, where that is known."""
        return tuple(map(Syndrome, self._told["syndromes"]))

    @property
    def severity(self) -> str | None:
        """A word where the harm goes beyond what the syndromes suggest; None says nothing about its harm."""
        found: str | None = self._told["severity"]
        return found

    @property
    def opinions(self) -> tuple[Opinion, ...]:
        """What each source says."""
        return facts(Opinion, self._told["opinions"])

    @property
    def evidence(self) -> Term:
        """The strongest kind of source that the verdict rests on."""
        return fact(Term, self._told["evidence"])

    @property
    def source_ids(self) -> tuple[str, ...]:
        """The sources of the verdict; :func:`sporeproof_data.sources` says what they are."""
        return tuple(self._told["verdict_source_ids"])

    @property
    def grade(self) -> Term | None:
        """How much skill it takes to prove an edible taxon; None where nothing was computed."""
        return fact(Term, self._told["grade"]) if self._told["grade"] else None

    @property
    def grade_reason(self) -> str | None:
        """Why the grade is no better."""
        found: str | None = self._told["grade_reason"]
        return found

    @property
    def review(self) -> Review:
        """Whether somebody has vouched for the entry as it stands."""
        return fact(Review, self._record["review"])

    @property
    def review_state(self) -> str:
        """The word of the review."""
        return str(self._told["review_state"])

    @property
    def safety_note(self) -> str:
        """What stands wherever a person reads a verdict."""
        return str(self._record["safety_note"])

    def __str__(self) -> str:
        return "\n".join(_lines(self, str(self._record["name"])))

    __repr__ = __str__

    def __format__(self, spec: str) -> str:
        if spec:
            raise TypeError("a verdict is shown whole: it takes no width and cannot be cut")
        return str(self)

    def __bool__(self) -> NoReturn:
        raise TypeError(
            "a verdict is no yes or no: look at its id, and show its needs, cautions and confusions with it; "
            "str(verdict) tells all of it"
        )

    def __eq__(self, other: object) -> bool:
        if isinstance(other, str):
            raise TypeError(
                f"a verdict is more than the word {other!r}: compare verdict.id with it, "
                "and show the needs, cautions and confusions of the verdict wherever you show that word"
            )
        return self._record == other._record if isinstance(other, Verdict) else NotImplemented

    __hash__ = None  # type: ignore[assignment]  # a set or a dict would compare it with words, and say no


class Syndrome:
    """What a taxon does to those who eat it."""

    __slots__ = ("_told",)

    def __init__(self, told: dict[str, Any]) -> None:
        self._told = told

    @property
    def term(self) -> Term:
        """What it is called and what it means."""
        return fact(Term, self._told)

    @property
    def onsets(self) -> tuple[Onset, ...]:
        """When it begins, source by source. An early illness never rules out a late one."""
        return facts(Onset, self._told["onsets"])

    def __str__(self) -> str:
        return str(self.term)

    def __repr__(self) -> str:
        return f"<Syndrome {self}>"


def _lines(verdict: Verdict, name: str) -> Iterator[str]:
    yield f"{name} ({verdict.taxon_id}): {verdict.title.upper()} ({verdict.id}). {verdict.definition}"
    yield f"Review: {verdict.review}"
    yield from _block("Needs, without which it does not hold", verdict.needs)
    yield from _block("Cautions", verdict.cautions)
    yield from _block("Only a specimen with all of these", verdict.accept_only)
    yield from _block("Can be taken for, the most dangerous first", verdict.confusions)
    if not verdict.confusions:
        yield "Can be taken for: nothing recorded, which is no clearance."
    yield from _block("Held for alike and answered", verdict.answered)
    yield from _block("Syndromes", verdict.syndromes)
    if verdict.severity:
        yield f"Severity: {verdict.severity}"
    yield f"Opinions: {'; '.join(f'{each.verdict} ({each.source_id})' for each in verdict.opinions) or 'none'}"
    yield f"Evidence: {verdict.evidence} Sources: {', '.join(verdict.source_ids) or 'none given'}."
    if verdict.grade:
        yield f"Grade of proof: {verdict.grade} {verdict.grade_reason or ''}".rstrip()
    elif verdict.id in index()["edible"]:
        yield "Grade of proof: none, so nothing recorded lets anybody accept it."
    yield verdict.safety_note


def _block(heading: str, lines: tuple[object, ...]) -> Iterator[str]:
    if lines:
        yield f"{heading}:"
        yield from (f"  - {each}" for each in lines)
