"""Dates and days, held against the standard library's calendar."""

from __future__ import annotations

import calendar
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.plan.rules.rule import write_list
from fillcards.regimen.model import EVERY_DAY, Weekday
from fillcards.wording.writers import ENGLISH


@given(st.dates())
def test_a_date_reads_back(day: date) -> None:
    """The month is spelled as the calendar module spells it, so that no country swaps day and month."""
    number, month, year = ENGLISH.write_date(day).split()
    assert date(int(year), list(calendar.month_name).index(month), int(number)) == day


def test_the_example_of_the_design() -> None:
    """25 November 2026 is written out, without a leading zero or a comma."""
    assert ENGLISH.write_date(date(2026, 11, 25)) == "25 November 2026"


@pytest.mark.parametrize(
    ("days", "words"),
    [
        ((Weekday.MONDAY,), "Monday"),
        ((Weekday.THURSDAY, Weekday.MONDAY), "Monday and Thursday"),
        (EVERY_DAY[:2], "Monday and Tuesday"),
        (EVERY_DAY[:3], "Monday to Wednesday"),
        (EVERY_DAY[:5], "Monday to Friday"),
        (EVERY_DAY[4::-1], "Monday to Friday"),
        (EVERY_DAY[4:], "Friday to Sunday"),
        ((EVERY_DAY[0], *EVERY_DAY[5:]), "Monday, Saturday and Sunday"),
        (EVERY_DAY[:5:2], "Monday, Wednesday and Friday"),
    ],
)
def test_days_in_words(days: tuple[Weekday, ...], words: str) -> None:
    """Days stand in the week's order, from Monday on; three or more in a row are named by both ends."""
    assert ENGLISH.write_days(days) == words


@given(st.sets(st.sampled_from(EVERY_DAY), min_size=1))
def test_days_read_back(days: set[Weekday]) -> None:
    """Read as one reads them, runs with all that lies between, the words give these days and no others."""
    names = list(calendar.day_name)
    read: list[int] = []
    for part in ENGLISH.write_days(tuple(days)).replace(" and ", ", ").split(", "):
        first, _, last = part.partition(" to ")
        read += range(names.index(first), names.index(last or first) + 1)
    assert read == sorted(day.value for day in days)


def test_an_empty_list_is_empty() -> None:
    """Nothing to join gives nothing, not a stray "and"."""
    assert write_list([]) == ""
