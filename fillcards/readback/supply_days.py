"""How many days one full vial serves, day by day, by arithmetic of its own; what stays in the needle is left aside."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from typing import Final

from fillcards.readback.expected import ExpectedFill
from fillcards.regimen.model import Medicine, Regimen

MOST_DAYS: Final = 4_000


def expect_days(medicine: Medicine, fills: tuple[ExpectedFill, ...], regimen: Regimen) -> int | None:
    """Days from opening to the last day of use, both counted; ``None`` where the file does not let them be counted."""
    start, holds_ml = regimen.review.date, medicine.vial_ml
    if start is None or holds_ml is None:
        return None
    opened, last = medicine.opened, _find_last_day(medicine)
    is_past = last is not None and last <= start
    day = start if is_past or opened is None else opened
    while not _list_needs_ml(medicine, fills, day):
        if day == opened and not is_past:
            break
        day += timedelta(days=1)
    first, left_ml = day, holds_ml
    end = first + timedelta(days=medicine.in_use_days)
    if medicine.expires and not is_past:
        end = min(end, medicine.expires)
    last_used: date | None = None
    for _ in range(MOST_DAYS):
        needs_ml = _list_needs_ml(medicine, fills, day)
        if any(need > holds_ml for need in needs_ml):
            return None
        portions_ml = [sum(needs_ml, Fraction(0))] if sum(needs_ml) <= holds_ml else needs_ml
        for portion_ml in portions_ml if needs_ml else []:
            if day >= end or portion_ml > left_ml:
                return (last_used - first).days + 1 if last_used else None
            left_ml -= portion_ml
            last_used = day
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


def _find_last_day(medicine: Medicine) -> date | None:
    days = [medicine.expires] if medicine.expires else []
    if medicine.opened:
        days.append(medicine.opened + timedelta(days=medicine.in_use_days))
    return min(days, default=None)
