"""Vials of one medicine emptied day by day on the calendar: when each is opened, thrown away, and what is left in it.

A vial serves whole days, from the day it is opened until the day it must not be used from or the day it no longer holds
in full; the next vial is opened that day. A day that needs more than a vial holds is served fill by fill. One dose is
never drawn from two vials.

Knows one medicine at a time and no syringe. Amounts are exact, in the unit of the medicine's dose.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from itertools import takewhile
from math import ceil
from typing import NamedTuple, TypeAlias

from fillcards.regimen.model import EVERY_DAY, Weekday

Needs: TypeAlias = tuple[tuple[Fraction, ...], ...]
"""What each fill takes, by weekday (Monday first), in the file's order."""


class VialUse(NamedTuple):
    """One vial, full on the day it is opened.

    Attributes:
        do_not_use_from: the day it was opened plus its life in use, or the printed expiry if sooner.
        last_used: last day it serves; ``None`` if it does not serve at all.
        days: calendar days from opening to ``last_used``, both counted.
        thrown_away: the day it is past its date or the next one is opened, whichever is sooner.
        left: what it still holds then.
        doses: how many were drawn from it; of a day that needs more than a vial holds perhaps not all.
    """

    opened: date
    do_not_use_from: date
    last_used: date | None
    days: int
    thrown_away: date
    left: Fraction
    doses: int

    def as_dict(self) -> dict[str, object]:
        """Flat form for JSON."""
        return {
            "opened": self.opened.isoformat(),
            "do_not_use_from": self.do_not_use_from.isoformat(),
            "last_used": self.last_used.isoformat() if self.last_used else None,
            "days": self.days,
            "thrown_away": self.thrown_away.isoformat(),
            "left": float(self.left),
            "doses": self.doses,
        }


class VialCount(NamedTuple):
    """Vials over one period.

    Attributes:
        need: what the period takes from the vials.
        vials: vials opened, day by day.
        vials_by_content: ``need`` in full vials, rounded up, as if a vial kept for ever and gave its last drop.
        thrown_away: what is left in the vials that are finished within the period.
    """

    need: Fraction
    vials: int
    vials_by_content: int
    thrown_away: Fraction

    def as_dict(self) -> dict[str, object]:
        """Flat form for JSON."""
        return {
            "need": float(self.need),
            "vials": self.vials,
            "vials_by_content_alone": self.vials_by_content,
            "thrown_away": float(self.thrown_away),
        }


class Consumption(NamedTuple):
    """What leaves the vials of one medicine, and how long a vial may serve.

    Attributes:
        vial_holds: content of a full vial; the largest fill must not be more (see ``serves_from_one_vial``).
        in_use_days: life of an opened vial.
        first_expires: expiry printed on the first vial; that of later ones is not known.
    """

    needs: Needs
    vial_holds: Fraction
    in_use_days: int
    first_expires: date | None = None

    @property
    def serves_from_one_vial(self) -> bool:
        """Whether a full vial holds the largest fill; nothing can be counted otherwise."""
        return self.in_use_days > 0 and max(need for fills in self.needs for need in fills) <= self.vial_holds

    def list_portions(self, weekday: Weekday) -> tuple[Fraction, ...]:
        """What one vial must hold at once: the day's need, or each fill's where the day needs more than a vial."""
        needs = self.needs[weekday.value]
        total = sum(needs, Fraction(0))
        if total > self.vial_holds:
            return needs
        return (total,) if needs else ()

    def find_first_day(self, start: date) -> date:
        """The first day from ``start`` on that takes something."""
        return next(day for day in _list_days(start) if self.needs[day.weekday()])

    def find_end(self, opened: date, *, is_first: bool) -> date:
        """The day a vial must not be used from."""
        end = opened + timedelta(days=self.in_use_days)
        return min(end, self.first_expires) if is_first and self.first_expires else end

    def use_vials(self, opened: date) -> Iterator[VialUse]:
        """Vials one after the other without end, the first opened on ``opened``; each is told when it is finished."""
        portions = {weekday: self.list_portions(weekday) for weekday in EVERY_DAY}
        end = self.find_end(opened, is_first=True)
        left, doses = self.vial_holds, 0
        last_used: date | None = None
        for day in _list_days(opened):
            of_day = portions[Weekday(day.weekday())]
            for portion in of_day:
                if day >= end or portion > left:
                    days = (last_used - opened).days + 1 if last_used else 0
                    yield VialUse(opened, end, last_used, days, min(end, day), left, doses)
                    opened, end, left, doses = day, self.find_end(day, is_first=False), self.vial_holds, 0
                left -= portion
                doses += len(self.needs[day.weekday()]) // len(of_day)
                last_used = day

    def count_vials(self, opened: date, start: date, days: int) -> VialCount:
        """Vials opened within ``days`` days from ``start``, where the first of all was opened on ``opened``.

        A vial that was opened before ``start`` goes on being used, and is thrown away among the others, but is not
        counted.
        """
        last = start + timedelta(days=days - 1)
        used = tuple(takewhile(lambda vial: vial.opened <= last, self.use_vials(opened)))
        need = measure_need(self.needs, start, days)
        return VialCount(
            need=need,
            vials=sum(vial.opened >= start for vial in used),
            vials_by_content=ceil(need / self.vial_holds),
            thrown_away=sum((vial.left for vial in used if start <= vial.thrown_away <= last), Fraction(0)),
        )


def measure_need(needs: Needs, start: date, days: int) -> Fraction:
    """What a number of days takes, ``start`` counted as the first."""
    dates = (start + timedelta(days=number) for number in range(days))
    return sum((sum(needs[day.weekday()], Fraction(0)) for day in dates), Fraction(0))


def _list_days(start: date) -> Iterator[date]:
    day = start
    while True:
        yield day
        day += timedelta(days=1)
