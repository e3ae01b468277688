"""What a run looked at and found, counted."""

from __future__ import annotations

from dataclasses import dataclass

from sporeproof.findings import plain


@dataclass(frozen=True, slots=True)
class Summary:
    """The counts of a run.

    ``only_form`` counts entries whose form is so broken that no other rule could judge them; ``whole`` is
    false where only named entries were checked; ``schema`` says which it was where not the dataset's own.
    """

    errors: int = 0
    warnings: int = 0
    notices: int = 0
    entries: int = 0
    excused: int = 0
    excused_entries: int = 0
    only_form: int = 0
    whole: bool = True
    schema: str = ""

    def line(self) -> str:
        """Return the counts in words.

        >>> Summary(warnings=2, notices=1, entries=19, excused=3, excused_entries=2).line()
        '0 errors, 2 warnings, 1 notice in 19 entries; 3 excused in 2 entries'
        """
        levels = ((self.errors, "error"), (self.warnings, "warning"), (self.notices, "notice"))
        found = ", ".join(counted(number, word) for number, word in levels)
        parts = [f"{found} in {_entries(self.entries)}"]
        if self.excused:
            parts.append(f"{self.excused} excused in {_entries(self.excused_entries)}")
        if self.only_form:
            whose = "its" if self.only_form == 1 else "their"
            parts.append(f"{_entries(self.only_form)} could only be checked for {whose} form")
        if not self.whole:
            parts.append("rules about the dataset as a whole were left out")
        if self.schema:
            parts.append(f"checked with the {plain(self.schema)} schema")
        return "; ".join(parts)


def counted(number: int, word: str) -> str:
    """Return a number with its word, in the plural where it is not one."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _entries(number: int) -> str:
    return f"{number} entry" if number == 1 else f"{number} entries"
