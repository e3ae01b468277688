"""Ages as people write them, and what is older on a given day."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from sporeproof.names.age import MOST, Limit, read_age, read_day

TODAY = date(2026, 11, 26)


@pytest.mark.parametrize(
    ("text", "days"), [("90d", 90), ("12w", 84), ("6m", 180), ("1y", 365), (" 1Y ", 365), ("0d", 0), ("100y", 36500)]
)
def test_an_age_is_read(text, days):
    assert read_age(text) == timedelta(days=days)


@pytest.mark.parametrize(
    "text", ["", "90", "d", "-1d", "1.5y", "90 d", "1d2w", "101y", "99999y", "９d", "1" * 5000 + "d", "90days"]
)
def test_what_is_no_age_is_refused_in_a_sentence(text):
    with pytest.raises(ValueError, match=r"^`.*` is .*\.$"):
        read_age(text)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-11-26", TODAY),
        ("2026-11-26T10:00:00+00:00", TODAY),
        ("", None),
        ("2026", None),
        ("2026-02-30", None),
        ("20261126", None),
        ("2026-W48-4", None),
        ("yesterday", None),
    ],
)
def test_a_day_is_read_or_is_none(text, day):
    assert read_day(text) == day


@pytest.mark.parametrize(("before", "too_old"), [(90, False), (91, True), (-1, False), (-2, True)])
def test_the_last_day_still_counts_and_one_to_come_does_not(before, too_old):
    assert Limit(TODAY, timedelta(days=90)).is_too_old(TODAY - timedelta(days=before)) is too_old


def test_an_answer_without_a_day_is_too_old():
    assert Limit(TODAY, MOST).is_too_old(None)


def test_the_longest_age_does_not_leave_the_calendar():
    assert Limit(date(5, 1, 1), MOST).oldest == date.min


def test_the_days_are_told():
    assert Limit(TODAY, timedelta(days=90)).told() == (
        "Today is 2026-11-26: an answer from before 2026-08-28 is too old."
    )
