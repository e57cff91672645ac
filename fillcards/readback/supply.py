"""How many days and doses one full vial serves, day by day, by arithmetic of its own; what stays in the needle is left
aside, and so is a date printed on the vial in use.
"""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.readback.expected import ExpectedFill
from fillcards.regimen.model import Medicine, Regimen

MOST_DAYS: Final = 4_000


class ExpectedSupply(NamedTuple):
    """What a full vial serves: days from opening to the last day of use, both counted, and doses. Told in days where
    some of it is given daily and a vial is enough for a day.
    """

    days: int
    doses: int
    is_daily: bool


def expect_supply(medicine: Medicine, fills: tuple[ExpectedFill, ...], regimen: Regimen) -> ExpectedSupply | None:
    """What one full vial serves; ``None`` where the file does not let it be counted."""
    start, holds_ml = regimen.review.date, medicine.vial_ml
    if start is None or holds_ml is None:
        return None
    opened = medicine.opened
    is_past = opened is not None and opened + timedelta(days=medicine.in_use_days) <= start
    day = start if is_past or opened is None else opened
    while not _list_needs_ml(medicine, fills, day):
        if day == opened and not is_past:
            break
        day += timedelta(days=1)
    first, left_ml = day, holds_ml
    end = first + timedelta(days=medicine.in_use_days)
    week_ml = [sum(_list_needs_ml(medicine, fills, first + timedelta(days=number))) for number in range(7)]
    is_daily = all(0 < day_ml <= holds_ml for day_ml in week_ml)
    last_used: date | None = None
    doses = 0
    for _ in range(MOST_DAYS):
        needs_ml = _list_needs_ml(medicine, fills, day)
        if any(need > holds_ml for need in needs_ml):
            return None
        portions_ml = [sum(needs_ml, Fraction(0))] if sum(needs_ml) <= holds_ml else needs_ml
        for portion_ml in portions_ml if needs_ml else []:
            if day >= end or portion_ml > left_ml:
                return ExpectedSupply((last_used - first).days + 1, doses, is_daily) if last_used else None
            left_ml -= portion_ml
            last_used = day
            doses += len(needs_ml) // len(portions_ml)
        day += timedelta(days=1)
    return None


def _list_needs_ml(medicine: Medicine, fills: tuple[ExpectedFill, ...], day: date) -> list[Fraction]:
    """What each fill of a day takes from the vial."""
    return [
        draw.volume_ml
        for fill in fills
        if any(given.value == day.weekday() for given in fill.fill.days_given)
        for draw in fill.draws
        if draw.medicine.key == medicine.key
    ]
