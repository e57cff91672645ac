"""Vials emptied day by day: never short, never past their date, and the calendar is the real one."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from fractions import Fraction
from itertools import islice, pairwise
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.shares import try_of_100

from fillcards.plan.model import write_plain
from fillcards.plan.supply import Consumption, measure_need

EMPTY_WEEK = ((),) * 7


def make_daily(*needs: int, holds: int = 1000, life: int = 28, expires: date | None = None) -> Consumption:
    """The same fills every day."""
    return Consumption((tuple(map(Fraction, needs)),) * 7, Fraction(holds), life, expires)


def walk_calendar(day: date, days: int) -> date:
    """The date so many days on, found by turning the leaves of ``calendar``, not by date arithmetic."""
    year, month, number = day.year, day.month, day.day
    for _ in range(days):
        number += 1
        if number > monthrange(year, month)[1]:
            number, month = 1, month + 1
        if month > 12:
            month, year = 1, year + 1
    return date(year, month, number)


amounts = st.integers(1, 60).map(lambda halves: Fraction(halves, 2))
weeks = st.lists(st.lists(amounts, max_size=3).map(tuple), min_size=7, max_size=7).map(tuple).filter(any)
consumptions = st.builds(Consumption, weeks, st.integers(60, 1000).map(Fraction), st.integers(1, 60), st.none()).filter(
    lambda consumption: consumption.serves_from_one_vial
)
dates = st.dates(date(1999, 1, 1), date(2101, 12, 31))


@given(dates, st.integers(1, 400))
def test_discard_date_is_the_calendars(opened: date, life: int) -> None:
    """A vial must not be used from the day it was opened plus its life, across month ends and leap years."""
    vial = next(make_daily(1, life=life).use_vials(opened))
    assert vial.do_not_use_from == walk_calendar(opened, life)


@pytest.mark.parametrize(
    ("opened", "do_not_use_from"),
    [
        # 2028 and 2000 are leap years, 2027 and 2100 are not (Gregorian calendar).
        (date(2028, 2, 10), date(2028, 3, 9)),
        (date(2027, 2, 10), date(2027, 3, 10)),
        (date(2000, 2, 1), date(2000, 2, 29)),
        (date(2100, 2, 1), date(2100, 3, 1)),
        (date(2026, 12, 10), date(2027, 1, 7)),
    ],
)
def test_discard_date_around_february(opened: date, do_not_use_from: date) -> None:
    """28 days end on 29 February only where there is one."""
    assert next(make_daily(1).use_vials(opened)).do_not_use_from == do_not_use_from


def test_printed_expiry_comes_first() -> None:
    """The printed expiry ends the first vial if it is sooner; that of the next vial is not known."""
    first, second = islice(make_daily(20, expires=date(2026, 12, 1)).use_vials(date(2026, 11, 25)), 2)
    assert first.do_not_use_from == date(2026, 12, 1)
    assert (first.last_used, first.days, first.left) == (date(2026, 11, 30), 6, Fraction(1000 - 6 * 20))
    assert second.opened == date(2026, 12, 1)
    assert second.do_not_use_from == date(2026, 12, 29)


def test_vial_past_its_date_before_its_first_day() -> None:
    """A vial opened on Monday that expires on Wednesday gives nothing on Thursday and is thrown away full."""
    thursdays = Consumption((*EMPTY_WEEK[:3], (Fraction(5),), *EMPTY_WEEK[4:]), Fraction(50), 28, date(2026, 11, 25))
    first, second = islice(thursdays.use_vials(date(2026, 11, 23)), 2)
    assert (first.last_used, first.days, first.left) == (None, 0, Fraction(50))
    assert first.thrown_away == date(2026, 11, 25)
    assert second.opened == date(2026, 11, 26)


def test_a_day_past_one_vial_is_served_fill_by_fill() -> None:
    """Four fills of 100 units a day from vials of 300: three fills a vial, so 40 vials for 120 fills."""
    count = make_daily(100, 100, 100, 100, holds=300).count_vials(date(2026, 1, 1), date(2026, 1, 1), 30)
    assert (count.need, count.vials, count.vials_by_content_alone) == (Fraction(12_000), 40, 40)


def test_one_dose_never_comes_from_two_vials() -> None:
    """A fill larger than a vial cannot be counted."""
    assert not make_daily(301, holds=300).serves_from_one_vial
    assert make_daily(300, holds=300).serves_from_one_vial


def test_the_largest_fill_must_fit_wherever_it_stands() -> None:
    """It is the largest fill that a vial must hold, and a vial that may not be used at all holds nothing."""
    assert not make_daily(10, 301, 10, holds=300).serves_from_one_vial
    assert not make_daily(10, life=0).serves_from_one_vial
    assert make_daily(10, life=1).serves_from_one_vial


def test_a_day_that_a_vial_holds_is_not_split() -> None:
    """Two fills of 60 from vials of 200: the 80 left after a day serve no fill of the next one."""
    first, second = islice(make_daily(60, 60, holds=200).use_vials(date(2026, 11, 25)), 2)
    assert (first.last_used, first.days, first.left) == (date(2026, 11, 25), 1, Fraction(80))
    assert (first.thrown_away, second.opened) == (date(2026, 11, 26), date(2026, 11, 26))


def test_a_day_that_empties_a_full_vial_is_not_split() -> None:
    """Tuesday's 40 and 60 just go into a vial of 100, so Monday's rest serves neither."""
    needs = ((Fraction(50),), (Fraction(40), Fraction(60)), *EMPTY_WEEK[2:])
    first = next(Consumption(needs, Fraction(100), 28).use_vials(date(2026, 11, 23)))
    assert (first.last_used, first.left) == (date(2026, 11, 23), Fraction(50))


@pytest.mark.parametrize(("days", "thrown_away"), [(28, 0), (29, 440)])
def test_a_vial_is_thrown_away_on_the_day_it_is_past(days: int, thrown_away: int) -> None:
    """20 a day from 1,000 leave 440 on day 29 (clinicaladvisor.com), so a period that ends the day before has none."""
    count = make_daily(20).count_vials(date(2026, 11, 25), date(2026, 11, 25), days)
    assert count.thrown_away == thrown_away


def test_every_key_of_the_answer_for_programs() -> None:
    """20 a day from 1,000 over 90 days: 28 days a vial, 440 left in each of three (clinicaladvisor.com)."""
    consumption, start = make_daily(20), date(2026, 11, 25)
    assert write_plain(next(consumption.use_vials(start))) == {
        "opened": "2026-11-25",
        "do_not_use_from": "2026-12-23",
        "last_used": "2026-12-22",
        "days": 28,
        "thrown_away": "2026-12-23",
        "left": 440,
        "doses": 28,
    }
    assert write_plain(consumption.count_vials(start, start, 90)) == {
        "need": 1800,
        "vials": 4,
        "vials_by_content_alone": 2,
        "thrown_away": 1320,
    }


def test_a_vial_that_serves_no_day_has_no_last_one() -> None:
    """A program is told so by an empty value, not by a date."""
    expired = make_daily(20, expires=date(2026, 11, 25))
    assert write_plain(next(expired.use_vials(date(2026, 11, 25))))["last_used"] is None


@given(st.integers(1, 250), st.integers(1, 90), st.integers(1, 120), dates)
def test_every_day_alike_follows_the_published_rule(daily: int, life: int, days: int, start: date) -> None:
    """Vials for N days are N over the usable days, rounded up; usable is the lesser of content and life."""
    usable = min(1000 // daily, life)
    count = make_daily(daily, life=life).count_vials(start, start, days)
    assert count.vials == ceil(days / usable)


@try_of_100(60)
@given(consumptions, dates, st.sampled_from((30, 90)))
def test_vials_are_never_short(consumption: Consumption, start: date, days: int) -> None:
    """What is needed and what is thrown away fit into the vials counted, and content alone never needs more."""
    opened = consumption.find_first_day(start)
    count = consumption.count_vials(opened, start, days)
    assert count.vials * consumption.vial_holds >= count.need + count.thrown_away
    assert count.vials >= count.vials_by_content_alone
    assert count.thrown_away >= 0
    assert count.need == measure_need(consumption.needs, start, days)


@try_of_100(60)
@given(consumptions, dates)
def test_each_vial_keeps_its_bounds(consumption: Consumption, start: date) -> None:
    """No vial goes below empty, is used on or after its date, or is opened before the last one is finished."""
    vials = tuple(islice(consumption.use_vials(consumption.find_first_day(start)), 4))
    for vial, following in pairwise(vials):
        assert 0 <= vial.left < consumption.vial_holds
        assert vial.last_used is not None
        assert vial.last_used < vial.do_not_use_from
        assert vial.last_used <= following.opened
        assert vial.days == (vial.last_used - vial.opened).days + 1 <= consumption.in_use_days
        assert vial.thrown_away <= following.opened


@try_of_100(60)
@given(consumptions, dates, st.integers(0, 6), amounts)
def test_a_larger_dose_never_takes_fewer_vials(
    consumption: Consumption, start: date, weekday: int, more: Fraction
) -> None:
    """Adding to the fills of one day never lowers the number of vials."""
    needs = tuple(
        tuple(need + more for need in day) if number == weekday else day for number, day in enumerate(consumption.needs)
    )
    larger = Consumption(needs, consumption.vial_holds, consumption.in_use_days)
    if not larger.serves_from_one_vial:
        return
    opened = consumption.find_first_day(start)
    if any(sum(day) > consumption.vial_holds for day in needs):
        # Such a day is served fill by fill, which wastes less than keeping its fills together did.
        return
    before = consumption.count_vials(opened, start, 90).vials
    assert larger.count_vials(opened, start, 90).vials >= before


@given(consumptions, dates, st.integers(1, 60))
def test_a_month_is_the_sum_of_its_days(consumption: Consumption, start: date, days: int) -> None:
    """The need of a span is the need of each of its dates, by the weekday the calendar gives them."""
    total = Fraction(0)
    for number in range(days):
        total += sum(consumption.needs[(start + timedelta(days=number)).weekday()], Fraction(0))
    assert measure_need(consumption.needs, start, days) == total
