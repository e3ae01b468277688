"""A taxon of the checklist: its record is read when something of it is asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ._facts import Measurement, Name, Protection, Review, Season, Setting, State, Term, Vernacular, fact, facts
from ._proof import Proof, proof_of
from ._read import record
from ._verdict import Verdict

if TYPE_CHECKING:
    from ._other import Confusion


class Taxon:
    """A taxon by its id. ``found_as`` tells the roles of the name that it was found by; empty if it was not by a name.

    Two are equal if they are the same taxon, however they were found. What is not recorded is None or empty, and that
    never means that there is none. Each part raises BrokenData where the record cannot be relied on.
    """

    __slots__ = ("_found_as", "_id")

    def __init__(self, id: str, found_as: tuple[str, ...] = ()) -> None:
        self._id, self._found_as = id, found_as

    @property
    def id(self) -> str:
        """The id, which never changes its meaning."""
        return self._id

    @property
    def found_as(self) -> tuple[str, ...]:
        """What the name is to it: current, former, misspelling, misapplied, vernacular, retired; or ``id``."""
        return self._found_as

    @property
    def _told(self) -> dict[str, Any]:
        return record(self._id)

    @property
    def name(self) -> str:
        """The name that the checklist uses today."""
        return str(self._told["name"])

    @property
    def authorship(self) -> str | None:
        """The authors of the name."""
        found: str | None = self._told["authorship"]
        return found

    @property
    def rank(self) -> str:
        """The rank, also genus or species group."""
        return str(self._told["rank"])

    @property
    def family(self) -> str | None:
        """The family."""
        found: str | None = self._told["family"]
        return found

    @property
    def region(self) -> str | None:
        """Where season and hosts were observed (ISO 3166)."""
        found: str | None = self._told["region"]
        return found

    @property
    def verdict(self) -> Verdict:
        """What may be said of eating it, with all that this hangs on."""
        return Verdict(self._told)

    @property
    def confusions(self) -> tuple[Confusion, ...]:
        """What it can be taken for, the most dangerous first."""
        return self.verdict.confusions

    @property
    def proof(self) -> Proof:
        """What to look at before it is accepted. Raises: NoProof."""
        return proof_of(self._told)

    @property
    def review(self) -> Review:
        """Whether somebody has vouched for the entry as it stands."""
        return fact(Review, self._told["review"])

    @property
    def names(self) -> tuple[Name, ...]:
        """All scientific names that it has or had."""
        return facts(Name, self._told["names"])

    @property
    def vernacular(self) -> tuple[Vernacular, ...]:
        """Its everyday names."""
        return facts(Vernacular, self._told["vernacular"])

    @property
    def characters(self) -> tuple[State, ...]:
        """What it looks like, a row for each character and stage; a character that is not there is unknown."""
        return facts(State, self._told["characters"])

    @property
    def measurements(self) -> tuple[Measurement, ...]:
        """Its usual sizes."""
        return facts(Measurement, self._told["measurements"])

    @property
    def settings(self) -> tuple[Setting, ...]:
        """What it grows on, with and where."""
        return facts(Setting, self._told["settings"])

    @property
    def seasons(self) -> tuple[Season, ...]:
        """The months in which it was seen."""
        return facts(Season, self._told["seasons"])

    @property
    def uses(self) -> tuple[Term, ...]:
        """What it is used for beyond eating."""
        return facts(Term, self._told["uses"])

    @property
    def protections(self) -> tuple[Protection, ...]:
        """The laws that are recorded as protecting it."""
        return facts(Protection, self._told["protections"])

    def record(self) -> dict[str, Any]:
        """Return a copy of the whole record, in the form of ``json/taxon.schema.json`` of the release."""
        from copy import deepcopy

        return deepcopy(self._told)

    def __str__(self) -> str:
        laws = "".join(f"\nProtected: {each}" for each in self.protections)
        return f"{self.verdict}{laws}"

    def __repr__(self) -> str:
        found = f" found as {', '.join(self._found_as)}" if self._found_as else ""
        return f"<Taxon {self._id} {self.name}, {self.review.id}{found}>"

    def __eq__(self, other: object) -> bool:
        return self._id == other._id if isinstance(other, Taxon) else NotImplemented

    def __hash__(self) -> int:
        return hash(self._id)
