"""Supply of a regimen, against published worked examples and the calendar."""

from __future__ import annotations

import json
import sys
from calendar import Calendar
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.shares import try_of_100

from fillcards.catalogue.model import Route
from fillcards.plan.supply import MedicineSupply, plan_supply
from fillcards.quantities import Unit
from fillcards.regimen.model import Needle, Regimen, Weekday

sys.path.insert(0, str(Path(__file__).parents[1]))
from support.rule_regimens import CLEAR, make_fill, make_mixed, make_other, make_regimen, make_syringe

START = date(2026, 11, 25)
DAY_NAMES = ("before breakfast", "before lunch", "before supper", "at bedtime")


def make_single(*units: int, vial_ml: int = 10, life: int = 28, **changes: object) -> Regimen:
    """Insulin regular of 100 units/mL, so many times a day."""
    medicine = replace(CLEAR, vial_ml=Fraction(vial_ml), in_use_days=life, **changes)  # type: ignore[arg-type]  # the tests name the fields
    fills = tuple(make_fill(when, clear=f"{number} units") for when, number in zip(DAY_NAMES, units, strict=False))
    return make_regimen(*fills, medicines=(medicine,))


def supply_single(*units: int, start: date = START, **changes: object) -> MedicineSupply:
    """The supply of that one medicine."""
    (supply,) = plan_supply(make_single(*units, **changes), start).medicines  # type: ignore[arg-type]  # as above
    return supply


@pytest.mark.parametrize(
    ("units", "vial_ml", "days"),
    [
        pytest.param((50,), 10, 20, id="1000-at-50-a-day-zaro.info"),
        pytest.param((20, 20), 10, 25, id="1000-at-20-and-20-pharmacytech.examzify.com"),
        pytest.param((16, 16, 16), 3, 6, id="300-at-16-three-times-solvely.ai"),
    ],
)
def test_days_a_vial_holds_out(units: tuple[int, ...], vial_ml: int, days: int) -> None:
    """Whole days by content, as the published examples print them (the last one 6.25, so 6)."""
    assert supply_single(*units, vial_ml=vial_ml).days_by_content == days


@pytest.mark.parametrize(
    ("units", "period", "need", "vials"),
    [
        # denalirx.com: 20 and 30 units a day for 30 days, 1,500 units, 1.5 so 2 vials.
        pytest.param((20, 30), 0, 1500, 2, id="30-days-denalirx.com"),
        # clinicaladvisor.com: 30 units twice a day for 90 days; the exact need is 5.4 vials, so 6.
        pytest.param((30, 30), 1, 5400, 6, id="90-days-clinicaladvisor.com"),
    ],
)
def test_vials_by_content_alone(units: tuple[int, ...], period: int, need: int, vials: int) -> None:
    """Vials of 1,000 units without expiry, as the published examples count them."""
    plain = supply_single(*units).periods[period].without_loss
    assert plain is not None
    assert (plain.need, plain.vials_by_content_alone) == (Fraction(need), vials)


def test_discard_after_28_days_leaves_440_units() -> None:
    """20 units a day from 1,000: 50 days by content, 28 by the discard rule (clinicaladvisor.com), 440 left."""
    supply = supply_single(20)
    assert supply.days_by_content == 50
    assert supply.first_vial is not None
    assert supply.first_vial.days == 28
    assert supply.first_vial.left == 440
    ninety = supply.periods[1].without_loss
    assert ninety is not None
    assert ninety.vials == 4  # 90 / 28, rounded up


@pytest.mark.parametrize(("needle", "printed_ml"), [(Needle.FIXED, 8), (Needle.DETACHABLE, 64)])
def test_loss_of_two_injections_a_day_over_a_year(needle: Needle, printed_ml: int) -> None:
    """Two injections a day lose 8 mL a year with a fixed needle, 64 with a separate one (Diabetes Care 1986;9:23)."""
    regimen = replace(make_single(20, 20), syringe=make_syringe(needle=needle))
    (supply,) = plan_supply(regimen, START).medicines
    assert supply.daily_with_loss is not None
    lost_ml = float((supply.daily_with_loss - supply.daily) * 365) / 100
    assert lost_ml == pytest.approx(printed_ml, rel=0.01)


def test_two_shots_of_20_units_use_42_2_a_day() -> None:
    """0.011 mL is 1.1 units of U-100 at each injection (derived from the same study)."""
    assert supply_single(20, 20).daily_with_loss == Fraction("42.2")


def test_a_mixture_charges_its_loss_to_both_vials() -> None:
    """Neither vial runs short because the loss was put down to the other one."""
    for supply in plan_supply(make_mixed("8 units", "18 units"), START).medicines:
        assert supply.daily_with_loss is not None
        assert supply.daily_with_loss - supply.daily == Fraction("1.1")


def make_weekly(days: tuple[Weekday, ...], **changes: object) -> Regimen:
    """0.25 mg of 2.5 mg/mL on some days of the week, from a vial of 2 mL."""
    medicine = make_other("weekly", "sample medicine", "2.5 mg/mL", vial_ml=Fraction(2))
    fill = replace(make_fill(weekly="0.25 mg"), days=days)
    return make_regimen(fill, medicines=(replace(medicine, **changes),))  # type: ignore[arg-type]  # the tests name the fields


@given(st.dates(date(2023, 1, 1), date(2033, 1, 1)), st.sets(st.sampled_from(Weekday), min_size=1))
def test_fills_on_some_weekdays(start: date, weekdays: set[Weekday]) -> None:
    """30 days hold as many fills as ``calendar`` counts such weekdays in them."""
    supply = plan_supply(make_weekly(tuple(sorted(weekdays, key=lambda day: day.value))), start)
    months = [(start.year + (start.month - 1 + ahead) // 12, (start.month - 1 + ahead) % 12 + 1) for ahead in range(3)]
    leaves = [day for year, month in months for day in Calendar().itermonthdates(year, month) if day.month == month]
    span = leaves[start.day - 1 :][:30]
    count = sum(day.weekday() in {weekday.value for weekday in weekdays} for day in span)
    assert supply.syringes[0].syringes == count
    assert supply.medicines[0].periods[0].need == count * Fraction("0.25")
    assert supply.medicines[0].periods[0].last == span[-1]


def test_weekly_vial_is_opened_on_its_first_day() -> None:
    """A weekly vial that the file does not call opened is opened on the first day with a dose; it serves 4 weeks."""
    (supply,) = plan_supply(make_weekly((Weekday.THURSDAY,)), START).medicines
    vial = supply.first_vial
    assert vial is not None
    assert vial.opened == date(2026, 11, 26)  # the Thursday after Wednesday 25 November 2026
    assert vial.last_used == date(2026, 12, 17)
    assert vial.left == 5 - 4 * Fraction("0.25")
    assert not supply.is_same_every_day


def test_counts_from_the_day_the_vial_was_opened() -> None:
    """A vial opened before the card's date keeps its own discard date."""
    supply = supply_single(20, opened=date(2026, 11, 2))
    assert supply.begins == date(2026, 11, 2)
    assert supply.first_vial is not None
    assert supply.first_vial.do_not_use_from == date(2026, 11, 30)
    assert supply.periods[0].last == date(2026, 12, 1)


@pytest.mark.parametrize("dates", [{"opened": date(2026, 10, 28)}, {"expires": date(2026, 11, 25)}])
def test_a_vial_past_its_date_is_not_counted(dates: dict[str, date]) -> None:
    """28 days after opening, or on the printed expiry, counting starts with a new vial on the card's date."""
    supply = supply_single(20, **dates)
    assert supply.opened_is_past
    assert supply.begins == START
    assert supply.first_vial is not None
    assert supply.first_vial.opened == START
    assert supply.first_vial.do_not_use_from == date(2026, 12, 23)


def test_last_day_before_the_date_still_counts() -> None:
    """On the 28th day from opening the vial may still be used."""
    assert not supply_single(20, opened=date(2026, 10, 29)).opened_is_past


def test_no_vial_size_no_vials() -> None:
    """Without a vial size the need is told and no vial is counted."""
    regimen = make_regimen(make_fill(clear="20 units"), medicines=(replace(CLEAR, vial_ml=None),))
    (supply,) = plan_supply(regimen, START).medicines
    assert supply.periods[0].need == 600
    assert (supply.first_vial, supply.periods[0].without_loss, supply.days_by_content) == (None, None, None)


def test_no_loss_is_published_by_mouth() -> None:
    """By mouth there is no needle: no figure with loss is told."""
    (supply,) = plan_supply(make_weekly((Weekday.MONDAY,), route=Route.BY_MOUTH), START).medicines
    assert (supply.loss, supply.daily_with_loss, supply.periods[0].with_loss) == (None, None, None)
    assert supply.periods[0].without_loss is not None


def test_amounts_are_in_the_unit_of_the_dose() -> None:
    """A medicine in mg is counted in mg, a vial of 2 mL of 2.5 mg/mL as 5 mg."""
    (supply,) = plan_supply(make_weekly((Weekday.MONDAY,)), START).medicines
    assert (supply.unit, supply.vial_holds) == (Unit.MG, Fraction(5))


def test_each_medicine_is_counted_in_the_unit_of_its_own_dose() -> None:
    """Insulin in units and a weekly medicine in mg in one file: 10 mL are 1,000 units, 2 mL are 5 mg."""
    weekly = make_other("weekly", "sample medicine", "2.5 mg/mL", vial_ml=Fraction(2))
    regimen = make_regimen(make_fill(clear="8 units"), make_fill(weekly="0.25 mg"), medicines=(CLEAR, weekly))
    supplies = plan_supply(regimen, START).medicines
    assert [(supply.unit, supply.vial_holds) for supply in supplies] == [
        (Unit.UNITS, Fraction(1000)),
        (Unit.MG, Fraction(5)),
    ]


def test_the_same_every_day_is_told() -> None:
    """Two fills a day on every day are alike; one that leaves out a day is not."""
    assert supply_single(20, 16).is_same_every_day is True
    assert plan_supply(make_weekly(tuple(Weekday)[:6]), START).medicines[0].is_same_every_day is False


def test_printed_expiry_ends_the_first_vial() -> None:
    """An expiry before the 28 days are over is the date to throw the vial away."""
    vial = supply_single(20, opened=date(2026, 11, 20), expires=date(2026, 12, 1)).first_vial
    assert vial is not None
    assert vial.do_not_use_from == date(2026, 12, 1)


@pytest.mark.parametrize(
    ("changes", "opened", "do_not_use_from"),
    [
        ({}, START, date(2026, 12, 23)),
        ({"opened": date(2026, 11, 2)}, date(2026, 11, 2), date(2026, 11, 30)),
        ({"opened": date(2026, 10, 2)}, START, date(2026, 12, 23)),
    ],
)
def test_the_vial_of_a_card_is_the_one_in_use_or_the_next(
    changes: dict[str, date], opened: date, do_not_use_from: date
) -> None:
    """The vial the file calls opened while it may be used, else a new one; the same that supply begins with."""
    regimen = make_single(20, **changes)  # type: ignore[arg-type]  # the cases name the fields
    vial = plan_supply(regimen, START).medicines[0].first_vial
    assert vial is not None
    assert (vial.opened, vial.do_not_use_from) == (opened, do_not_use_from)


def test_a_full_vial_of_a_weekly_medicine_is_told_in_doses() -> None:
    """28 days from a Thursday hold four Thursdays; twice a week, with Sunday, eight doses."""
    for days, doses in (((Weekday.THURSDAY,), 4), ((Weekday.THURSDAY, Weekday.SUNDAY), 8)):
        regimen = make_weekly(days)
        vial = plan_supply(regimen, START).medicines[0].first_vial
        assert vial is not None
        assert vial.doses == doses


@pytest.mark.parametrize("days", [None, (Weekday.MONDAY, Weekday.THURSDAY)])
def test_a_day_that_takes_more_than_a_vial_is_told_in_doses(days: tuple[Weekday, ...] | None) -> None:
    """Of 600 and 700 units on one day a vial of 1,000 gives the first alone: one dose, and not a day of supply."""
    regimen = make_single(600, 700)
    regimen = replace(regimen, fills=tuple(replace(fill, days=days) for fill in regimen.fills))
    vial = plan_supply(regimen, START).medicines[0].first_vial
    assert vial is not None
    assert vial.doses == 1


def test_the_vial_that_follows_is_in_use_on_the_day_asked_for() -> None:
    """40 units a day empty 1,000 in 25 days: opened on 2 November, the next on the 27th, in use in December.

    By hand: 27 November and 25 days is 22 December, so 30 days from 1 December take one new vial.
    """
    regimen = make_single(40, opened=date(2026, 11, 2))
    (supply,) = plan_supply(regimen, date(2026, 12, 1), is_asked=True).medicines
    assert not supply.opened_is_past
    assert supply.first_vial is not None
    assert (supply.first_vial.opened, supply.first_vial.thrown_away) == (date(2026, 11, 27), date(2026, 12, 22))
    assert supply.periods[0].without_loss is not None
    assert supply.periods[0].without_loss.vials == 1


def test_the_vial_of_the_file_is_in_use_on_the_day_asked_for() -> None:
    """20 units a day, opened on 2 November: on the 10th it is the same vial, thrown away after 28 days."""
    (supply,) = plan_supply(make_single(20, opened=date(2026, 11, 2)), date(2026, 11, 10), is_asked=True).medicines
    assert supply.first_vial is not None
    assert (supply.first_vial.opened, supply.first_vial.thrown_away) == (date(2026, 11, 2), date(2026, 11, 30))


def test_an_expired_vial_is_none_on_the_day_asked_for() -> None:
    """A vial not opened yet and past its printed date is counted from a new one."""
    (supply,) = plan_supply(make_single(20, expires=date(2026, 11, 30)), date(2026, 12, 1), is_asked=True).medicines
    assert supply.opened_is_past
    assert supply.first_vial is not None
    assert supply.first_vial.opened == date(2026, 12, 1)


def test_counts_from_the_day_that_is_asked_for() -> None:
    """Opened on 2 November at 20 units a day; 30 days from 20 November take 600 units, and the vials opened in them are
    those of 30 November (28 days after the first) alone: it serves until 27 December.
    """
    regimen = make_single(20, opened=date(2026, 11, 2))
    (supply,) = plan_supply(regimen, date(2026, 11, 20), is_asked=True).medicines
    assert supply.begins == date(2026, 11, 20)
    assert (supply.periods[0].first, supply.periods[0].last) == (date(2026, 11, 20), date(2026, 12, 19))
    assert supply.periods[0].need == 600
    assert supply.periods[0].without_loss is not None
    assert supply.periods[0].without_loss.vials == 1


def test_a_vial_opened_later_serves_no_day_before() -> None:
    """Asked for from the day before the vial was opened, supply begins with another one on that day."""
    regimen = make_single(20, opened=date(2026, 11, 24))
    (supply,) = plan_supply(regimen, date(2026, 11, 20), is_asked=True).medicines
    assert supply.first_vial is not None
    assert supply.first_vial.opened == supply.begins == date(2026, 11, 20)


def test_no_vial_is_counted_that_does_not_hold_a_dose() -> None:
    """310 units do not come from vials of 300: one dose is never drawn from two."""
    supply = supply_single(310, vial_ml=3)
    assert supply.periods[0].need == 30 * 310
    assert (supply.first_vial, supply.periods[0].without_loss) == (None, None)


def test_a_vial_opened_before_its_first_dose_ages_from_that_day() -> None:
    """Opened on Monday 2 November, drawn on Thursdays: past on 30 November with four doses gone, 4 mg thrown away."""
    (supply,) = plan_supply(make_weekly((Weekday.THURSDAY,), opened=date(2026, 11, 2)), START).medicines
    month = supply.periods[0].without_loss
    assert month is not None
    assert (month.vials, month.thrown_away) == (1, Fraction(4))


def test_unused_medicine_is_left_out() -> None:
    """A medicine that no fill draws needs no supply."""
    assert [item.medicine.key for item in plan_supply(make_regimen(make_fill(clear="8 units")), START).medicines] == [
        "clear"
    ]


@try_of_100(50)
@given(st.integers(1, 100), st.integers(0, 100), st.integers(1, 60), st.sampled_from((3, 10)))
def test_loss_and_dose_only_add(units: int, more: int, life: int, vial_ml: int) -> None:
    """With loss, or with a larger dose, nothing gets less and no vial lasts longer."""
    small = supply_single(units, vial_ml=vial_ml, life=life)
    large = supply_single(units + more, vial_ml=vial_ml, life=life)
    for supply in (small, large):
        for period in supply.periods:
            assert period.without_loss is not None
            assert period.with_loss is not None
            assert period.with_loss.vials >= period.without_loss.vials
            assert period.with_loss.need > period.without_loss.need > 0
    assert small.first_vial is not None
    assert large.first_vial is not None
    assert large.first_vial.days <= small.first_vial.days
    for fewer, greater in zip(small.periods, large.periods, strict=True):
        assert fewer.without_loss is not None
        assert greater.without_loss is not None
        assert greater.without_loss.vials >= fewer.without_loss.vials


def test_every_key_of_the_answer_for_programs() -> None:
    """20 units a day from 1,000: 28 days, 440 left (clinicaladvisor.com); 1.1 more with each injection (derived).

    28 days of 21.1 units leave 409.2.
    """
    answer = supply_single(20, opened=date(2026, 11, 2)).as_dict()
    by_weekday, periods = answer.pop("need_by_weekday"), answer.pop("periods")
    assert by_weekday == {day.word: 20 for day in Weekday}
    first = {
        "opened": "2026-11-02",
        "do_not_use_from": "2026-11-30",
        "last_used": "2026-11-29",
        "days": 28,
        "thrown_away": "2026-11-30",
    }
    assert answer == {
        "medicine": "insulin regular",
        "key": "clear",
        "unit": "units",
        "begins": "2026-11-02",
        "opened_vial_is_past_its_date": False,
        "need_a_day": 20,
        "need_a_day_with_loss": 21.1,
        "loss_each_injection": 1.1,
        "loss_source": "dead-space-1986",
        "vial_holds": 1000,
        "days_by_content": 50,
        "days_in_use": 28,
        "first_vial": first | {"left": 440, "doses": 28},
        "first_vial_with_loss": first | {"left": 409.2, "doses": 28},
    }
    assert isinstance(periods, list)
    assert periods[0] == {
        "days": 30,
        "first": "2026-11-02",
        "last": "2026-12-01",
        "need": 600,
        "need_with_loss": 633,
        "without_loss": {"need": 600, "vials": 2, "vials_by_content_alone": 1, "thrown_away": 440},
        "with_loss": {"need": 633, "vials": 2, "vials_by_content_alone": 1, "thrown_away": 409.2},
    }
    assert [period["days"] for period in periods] == [30, 90]


def test_what_is_not_known_is_an_empty_value() -> None:
    """By mouth no loss is published, and without a vial size no vial is counted: a program is told neither as 0."""
    regimen = make_weekly((Weekday.MONDAY,), route=Route.BY_MOUTH, vial_ml=None)
    answer = plan_supply(regimen, START).medicines[0].as_dict()
    unknown = ("need_a_day_with_loss", "loss_each_injection", "loss_source", "vial_holds", "days_by_content")
    assert {key: answer[key] for key in unknown} == dict.fromkeys(unknown)
    assert (answer["first_vial"], answer["first_vial_with_loss"]) == (None, None)
    periods = answer["periods"]
    assert isinstance(periods, list)
    assert [(row["need_with_loss"], row["without_loss"], row["with_loss"]) for row in periods] == [(None,) * 3] * 2


def test_the_whole_answer_has_its_start_and_its_syringes() -> None:
    """Two fills a day take 60 syringes in 30 days."""
    answer = plan_supply(make_single(20, 20), START).as_dict()
    assert set(answer) == {"start", "syringes", "medicines"}
    assert answer["syringes"] == [{"days": 30, "syringes": 60}, {"days": 90, "syringes": 180}]


def test_answer_for_programs_is_json() -> None:
    """The answer survives a trip through JSON with ISO 8601 dates."""
    answer = json.loads(json.dumps(plan_supply(make_mixed("8 units", "18 units"), START).as_dict()))
    assert answer["start"] == "2026-11-25"
    assert [medicine["need_a_day"] for medicine in answer["medicines"]] == [8, 18]
    assert answer["syringes"][1] == {"days": 90, "syringes": 90}
