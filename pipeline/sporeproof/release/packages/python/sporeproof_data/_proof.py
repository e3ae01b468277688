"""What to look at before a taxon is accepted, and what that still does not exclude."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from ._facts import Review, Term, fact
from ._other import Left, dangerous_first
from ._verdict import Verdict

if TYPE_CHECKING:
    from typing import NoReturn


class NoProof(LookupError):
    """There is no list by which anybody could accept a taxon."""


class Item(NamedTuple):
    """One thing to look at: what must be seen, when it can be read, and against how many others it counts."""

    character_id: str
    title: str
    position: int
    accept: tuple[str, ...]
    read_when: tuple[str, ...]
    rules_out: int

    def __str__(self) -> str:
        when = f"; read only when {' and '.join(self.read_when)}" if self.read_when else ""
        accept = " or ".join(self.accept)
        return f"{self.position}. {self.title}: {accept}{when}; rules out {self.rules_out} of the suspects"


class ProofLevel(NamedTuple):
    """What to look at with what is at hand, all of it, and what is not excluded even then, the most dangerous first.

    Show both, or neither.
    """

    level: Term
    items: tuple[Item, ...]
    not_excluded: tuple[Left, ...]

    def __str__(self) -> str:
        lines = [f"{self.level}", *(f"  {each}" for each in self.items or ("nothing to look at",))]
        if self.not_excluded:
            lines += ["  NOT EXCLUDED even if all of this is seen:", *(f"  - {each}" for each in self.not_excluded)]
        else:
            lines += ["  What was compared is excluded; what is not in the checklist never is."]
        return "\n".join(lines)


class Proof:
    """The list of an edible taxon, level by level. It is no yes or no; printed, it always tells what it leaves open."""

    __slots__ = ("_record",)

    def __init__(self, record: dict[str, Any]) -> None:
        self._record = record

    @property
    def taxon_id(self) -> str:
        """The taxon that it is about."""
        return str(self._record["id"])

    @property
    def levels(self) -> tuple[ProofLevel, ...]:
        """The levels, from what is at hand for everybody; each holds what was there before."""
        return tuple(map(_level, self._record["proof"]))

    @property
    def verdict(self) -> Verdict:
        """The verdict, with grade, needs, cautions and confusions."""
        return Verdict(self._record)

    @property
    def review(self) -> Review:
        """Whether somebody has vouched for the entry as it stands."""
        return self.verdict.review

    def __str__(self) -> str:
        head = f"What to look at before {self._record['name']} ({self.taxon_id}) is accepted"
        return "\n\n".join([head, *map(str, self.levels), str(self.verdict)])

    __repr__ = __str__

    def __format__(self, spec: str) -> str:
        if spec:
            raise TypeError("a proof is shown whole: it takes no width and cannot be cut")
        return str(self)

    def __bool__(self) -> NoReturn:
        raise TypeError("that there is a proof accepts nothing: look at its items, and show what is not excluded")


def proof_of(record: dict[str, Any]) -> Proof:
    """Return the proof in a record.

    Raises: NoProof.
    """
    if not record["proof"]:
        raise NoProof(
            f"There is no proof of {record['name']} ({record['id']}): nothing recorded here lets anybody accept it."
        )
    return Proof(record)


def _level(told: dict[str, Any]) -> ProofLevel:
    items = tuple(fact(Item, each) for each in told["items"])
    return ProofLevel(fact(Term, told["level"]), items, tuple(map(Left, dangerous_first(told["not_excluded"]))))
