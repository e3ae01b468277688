"""Another taxon beside one: what it can be taken for, what was answered, what a proof does not exclude."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ._read import danger, index, record

if TYPE_CHECKING:
    from ._verdict import Verdict


def named(other: dict[str, Any]) -> str:
    """Return another taxon in words; a verdict that hangs on conditions is not told without saying where they are."""
    verdict = other["verdict"]
    where = f", but only as taxon({other['id']!r}) says" if verdict in index()["edible"] else ""
    return f"{other['name']} ({other['id']}), {verdict}{where}, {other['review_state']}"


def dangerous_first(told: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return parts of a record that each tell of another taxon, by its verdict and its id."""
    return sorted(told, key=lambda each: (danger(each["with"]["verdict"]), each["with"]["id"]))


class Other:
    """Another taxon beside one, as a record tells of it."""

    __slots__ = ("_told",)

    def __init__(self, told: dict[str, Any]) -> None:
        self._told = told

    @property
    def id(self) -> str:
        """The id of the other taxon."""
        return str(self._told["with"]["id"])

    @property
    def name(self) -> str:
        """The name of the other taxon."""
        return str(self._told["with"]["name"])

    @property
    def verdict(self) -> Verdict:
        """The verdict of the other taxon, with all that it hangs on."""
        from ._verdict import Verdict  # which holds the others in its turn

        return Verdict(record(self.id))

    @property
    def review_state(self) -> str:
        """Whether the entry of the other taxon was reviewed."""
        return str(self._told["with"]["review_state"])

    def __str__(self) -> str:
        return named(self._told["with"])

    def __repr__(self) -> str:
        return f"<{type(self).__name__} {self}>"


class Confusion(Other):
    """Another taxon that one can be taken for."""

    __slots__ = ()

    @property
    def told_from(self) -> str:
        """The id of the taxon that ``separates`` was computed for: a one-way difference only counts for that one."""
        return str(self._told["told_from"])

    @property
    def listed(self) -> str:
        """Who listed it: a person, or the comparison."""
        return str(self._told["listed"])

    @property
    def note(self) -> str | None:
        """What a person wrote of it."""
        found: str | None = self._told["note"]
        return found

    @property
    def required(self) -> int | None:
        """How much must separate the two in the field; None where it was not computed."""
        found: int | None = self._told["required"]
        return found

    @property
    def separators(self) -> int | None:
        """How much does separate the two in the field; None where it was not computed."""
        found: int | None = self._told["separators"]
        return found

    @property
    def similarity(self) -> float | None:
        """How alike the two are, from 0 to 1; None where it was not computed."""
        found: float | None = self._told["similarity"]
        return found

    @property
    def hints(self) -> tuple[str, ...]:
        """The usual signs of the trade, as ids of characters: shown, never counted."""
        return tuple(self._told["hints"])

    @property
    def source_ids(self) -> tuple[str, ...]:
        """Who says so."""
        return tuple(self._told["source_ids"])

    @property
    def claimed(self) -> tuple[str, ...]:
        """The characters that a person says tell the two apart."""
        return tuple(self._told["claimed"])

    @property
    def separates(self) -> dict[str, tuple[str, ...]]:
        """The characters by what they do to tell the two apart."""
        return {word: tuple(ids) for word, ids in self._told["separates"].items()}

    def __str__(self) -> str:
        parts = [f"{word}: {', '.join(ids)}" for word, ids in self.separates.items() if ids]
        separates = f"Separates them? {'; '.join(parts)}." if parts else "Nothing recorded separates them."
        return " ".join(filter(None, [f"{super().__str__()}.", self.note, self._counted(), separates]))

    def _counted(self) -> str:
        """Return how far the two are told apart in the field; empty where it was not computed."""
        if self.required is None or self.separators is None:
            return ""
        enough = "Told apart" if self.separators >= self.required else "NOT told apart far enough"
        weight = f"weight of proof {self.separators}, at least {self.required} is asked"
        return f"{enough} in the field: {weight}; no clearance."


class Answered(Other):
    """Another taxon that the comparison held for alike; ``because`` is the reason why it is not taken for it."""

    __slots__ = ()

    @property
    def source_ids(self) -> tuple[str, ...]:
        """Who says so."""
        return tuple(self._told["source_ids"])

    @property
    def because(self) -> str | None:
        """The reason that a person gave."""
        found: str | None = self._told["because"]
        return found

    def __str__(self) -> str:
        return f"{super().__str__()}: {self.because or 'no reason given'}"


class Left(Other):
    """A taxon that a proof does not exclude even if every item was seen: fewer than ``required`` separate it."""

    __slots__ = ()

    @property
    def required(self) -> int:
        """How much must separate it."""
        return int(self._told["required"])

    @property
    def separators(self) -> int:
        """How much does."""
        return int(self._told["separators"])

    def __str__(self) -> str:
        return f"{super().__str__()} (weight of proof {self.separators}, at least {self.required} is asked)"
