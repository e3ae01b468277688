"""How old an answer may be: ages as a person writes them, and what is older on a given day."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

# A month and a year are taken as short as they can fairly be, so that an answer is asked again rather than trusted.
DAYS = {"d": 1, "w": 7, "m": 30, "y": 365}
AGE = re.compile(r"([0-9]{1,5})([dwmy])")
MOST = timedelta(days=365 * 100)
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
# It can be tomorrow already where an answer was asked for.
ONE_DAY = timedelta(days=1)


def read_age(text: str) -> timedelta:
    """Return an age that a person wrote: days, weeks, months of 30 days or years of 365.

    Raises ValueError with a sentence for anything else.

    >>> read_age("12w").days, read_age("6m").days
    (84, 180)
    """
    found = AGE.fullmatch(text.strip().lower())
    if not found:
        raise ValueError(f"`{text}` is no age: write a whole number and d, w, m or y, such as 90d, 12w, 6m or 1y.")
    age = timedelta(days=int(found[1]) * DAYS[found[2]])
    if age > MOST:
        raise ValueError(f"`{text}` is more than a hundred years: nothing would ever be too old. Write a shorter age.")
    return age


def read_day(text: str) -> date | None:
    """Return the day that a record begins with, a time of day may follow; None where it gives none."""
    if not DAY.match(text):
        return None
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        return None


@dataclass(frozen=True, slots=True)
class Limit:
    """The longest age that an answer may have, counted on one day."""

    today: date
    age: timedelta

    @property
    def oldest(self) -> date:
        """The first day that is not too long ago."""
        return self.today - min(self.age, self.today - date.min)

    def is_too_old(self, day: date | None) -> bool:
        """Tell whether an answer of a day may no longer be relied on; one without a day, or from later on, is not."""
        return day is None or not self.oldest <= day <= self.today + ONE_DAY

    def told(self) -> str:
        """Return what answers are held against, in a sentence."""
        return f"Today is {self.today}: an answer from before {self.oldest} is too old."
