"""Rules about medicines and doses: units, very small doses, likely slips of the pen, what no fill draws.

None proposes a dose.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fillcards.plan.reading import MeasuredDraw, is_measurable, list_measured, list_medicine_fills
from fillcards.plan.rules.rule import Finding
from fillcards.quantities import Unit
from fillcards.regimen.model import Fill, PrescribedDraw, Regimen, Weekday

SMALL_VOLUME_ML = Fraction(2, 100)
"""Below 2 units of U-100 a study of 1993 advises diluted insulin; by volume, so that other scales are right too."""

SLIP_FACTOR = 8
"""From this ratio on two doses of one medicine are asked about; a lost or added point gives 10, twice a day 5 to 20."""

LARGE_DAILY_UNITS = 200
"""Insulin of 500 units/mL is indicated for more than this many units a day (regulator, 2016)."""


def list_draws(regimen: Regimen) -> Iterator[tuple[Fill, PrescribedDraw]]:
    """Every draw with its fill, in the file's order."""
    for fill in regimen.fills:
        for draw in fill.draws:
            yield fill, draw


def check_measurable(regimen: Regimen) -> Iterator[Finding]:
    """A dose that the strength of its vial cannot turn into a volume."""
    for _, draw in list_draws(regimen):
        if is_measurable(draw, regimen):
            continue
        strength = regimen.find_medicine(draw.medicine).strength
        yield Finding(
            draw.place,
            draw=draw,
            vial=f"of {strength}" if strength else "without a strength",
            units="units/mL" if draw.dose.unit is Unit.UNITS else "mg/mL or mcg/mL",
        )


def check_insulin_units(regimen: Regimen) -> Iterator[Finding]:
    """An insulin dose in anything but units."""
    for _, draw in list_draws(regimen):
        if regimen.find_medicine(draw.medicine).is_insulin and draw.dose.unit is not Unit.UNITS:
            yield Finding(draw.place, draw=draw, medicine=regimen.find_medicine(draw.medicine))


def caution_small_dose(regimen: Regimen) -> Iterator[Finding]:
    """A dose under 0.02 mL of one medicine, with the published error of that volume."""
    for _, draw, volume_ml in list_measured(regimen):
        if volume_ml < SMALL_VOLUME_ML:
            yield Finding(draw.place, draw=draw, error=_write_published_error(volume_ml))


def _write_published_error(volume_ml: Fraction) -> str:
    """The measured mean excess at the nearest published volumes (nurses with U-100 syringes, 1993 and 1998)."""
    if volume_ml <= Fraction(5, 1000):
        return "in a study nurses who meant 0.005 mL drew 95 % too much on average"
    if volume_ml <= Fraction(1, 100):
        return "in two studies 0.01 mL came out 64 % and 23 % too large on average"
    return "in a study 0.01 mL came out 64 % and 0.02 mL 8 % too large on average"


def ask_about_slip(regimen: Regimen) -> Iterator[Finding]:
    """One medicine whose largest dose is many times its smallest."""
    for medicine in list_medicine_fills(regimen):
        keys = {entry.key for entry in medicine.entries}
        draws = [each for each in list_measured(regimen) if each.draw.medicine in keys]
        if not draws:
            continue
        low, high = min(draws, key=_get_volume_ml), max(draws, key=_get_volume_ml)
        if high.volume_ml >= SLIP_FACTOR * low.volume_ml:
            yield Finding(high.draw.place, high=high, low=low, most=SLIP_FACTOR)


def _get_volume_ml(measured: MeasuredDraw) -> Fraction:
    return measured.volume_ml


def ask_about_daily_total(regimen: Regimen) -> Iterator[Finding]:
    """More than 200 units of insulin a day from vials of less than 500 units/mL."""
    totals = {day: _measure_daily_units(regimen, day) for day in Weekday}
    largest = max(totals.values())
    if largest <= LARGE_DAILY_UNITS:
        return
    day = next(day for day, total in totals.items() if total == largest)
    when = "a day" if len(set(totals.values())) == 1 else f"on {day.word}"
    yield Finding(regimen.fills[0].place, largest=largest, when=when, most=LARGE_DAILY_UNITS)


def _measure_daily_units(regimen: Regimen, day: Weekday) -> Fraction:
    total = Fraction(0)
    for fill, draw in list_draws(regimen):
        medicine = regimen.find_medicine(draw.medicine)
        concentrated = medicine.strength is not None and medicine.strength.amount >= 500
        if day in fill.days_given and medicine.is_insulin and draw.dose.unit is Unit.UNITS and not concentrated:
            total += draw.dose.amount
    return total


def caution_named_hazard(regimen: Regimen) -> Iterator[Finding]:
    """A medicine the user marked as hazardous or of high alert."""
    for medicine in regimen.medicines:
        if medicine.warning:
            yield Finding(medicine.find_place("warning"), medicine=medicine)


def caution_unknown_insulin(regimen: Regimen) -> Iterator[Finding]:
    """An insulin that is written as other."""
    for medicine in regimen.medicines:
        if medicine.is_unknown_insulin:
            yield Finding(medicine.find_place("name"), medicine=medicine)


def caution_not_drawn(regimen: Regimen) -> Iterator[Finding]:
    """A medicine in the file that no fill draws."""
    for medicine in regimen.not_drawn:
        yield Finding(medicine.place, medicine=medicine)
