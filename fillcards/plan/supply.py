"""How long vials and syringes last: need a day and a month, days a vial serves, dates to throw away, what is lost.

A vial serves whole days, from the day it is opened until the day it must not be used from or the day it no longer holds
in full; the next vial is opened that day. A day that needs more than a vial holds is served fill by fill. One dose is
never drawn from two vials.

Each medicine is counted from the day the file says its vial was opened, if that vial may still be used, else from the
date of the card; or from a day that is asked for, with the vial in use as far emptied as it is then: the one in the
file, or the one that has followed it by that day.

Figures come with and without what stays behind in the needle at each injection. Of a mixture the whole loss is charged
to each of the two vials, so that the figure errs towards having enough. Spills, priming and broken vials are left out.

Knows nothing of the order of drawing, of scales and of words. Amounts are exact, in the unit of the medicine's dose.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from itertools import takewhile
from math import ceil
from typing import Final, NamedTuple, TypeAlias

from fillcards.catalogue.model import Route
from fillcards.plan.drawing_error import PublishedFigure, find_loss
from fillcards.plan.model import write_plain
from fillcards.plan.reading import measure_draw_ml
from fillcards.plan.rules.vials_and_labels import find_last_date
from fillcards.quantities import Unit
from fillcards.regimen.model import EVERY_DAY, Fill, Medicine, Regimen, Weekday

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


class VialCount(NamedTuple):
    """Vials over one period.

    Attributes:
        need: what the period takes from the vials.
        vials: vials opened, day by day.
        vials_by_content_alone: ``need`` in full vials, rounded up, as if a vial kept for ever and gave its last drop.
        thrown_away: what is left in the vials that are finished within the period.
    """

    need: Fraction
    vials: int
    vials_by_content_alone: int
    thrown_away: Fraction


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
            vials_by_content_alone=ceil(need / self.vial_holds),
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


PERIODS_DAYS: Final = (30, 90)
"""The periods told; a month counts 30 days. Common practice, no source."""


class Period(NamedTuple):
    """What a number of days takes, ``first`` and ``last`` both counted.

    Attributes:
        need_with_loss: ``None`` by mouth, where no loss is published.
        without_loss: ``None`` where the file gives no vial size or one vial does not hold one dose.
        with_loss: likewise, and by mouth.
    """

    days: int
    first: date
    last: date
    need: Fraction
    need_with_loss: Fraction | None
    without_loss: VialCount | None
    with_loss: VialCount | None


class MedicineSupply(NamedTuple):
    """One medicine's supply. Amounts in ``unit``.

    Attributes:
        begins: the day supply is counted from.
        opened_is_past: the vial the file tells of may no longer be used on the given start; counted from a new one.
        needs: what each fill takes without loss, by weekday (Monday first).
        loss, loss_figure: what stays behind with each injection; ``None`` by mouth, where nothing is published.
        vial_holds: ``None`` where the file gives no vial size.
        first_vial, first_vial_with_loss: the vial in use on ``begins``, taken as full on the day it was opened.
    """

    medicine: Medicine
    unit: Unit
    begins: date
    opened_is_past: bool
    needs: Needs
    loss: Fraction | None
    loss_figure: PublishedFigure | None
    vial_holds: Fraction | None
    first_vial: VialUse | None
    first_vial_with_loss: VialUse | None
    periods: tuple[Period, ...]

    @property
    def need_by_weekday(self) -> tuple[Fraction, ...]:
        """What each day of the week takes, Monday first."""
        return tuple(sum(needs, Fraction(0)) for needs in self.needs)

    @property
    def is_same_every_day(self) -> bool:
        """Whether every day of the week takes the same."""
        return len(set(self.needs)) == 1

    @property
    def daily(self) -> Fraction:
        """Need a day; the mean over a week where the days differ."""
        return sum(self.need_by_weekday, Fraction(0)) / 7

    @property
    def daily_with_loss(self) -> Fraction | None:
        """As ``daily``, with what stays in the needle."""
        return None if self.loss is None else self.daily + self.loss * sum(map(len, self.needs)) / 7

    @property
    def days_by_content(self) -> int | None:
        """Whole days a full vial holds out at the daily need, its life in use left aside."""
        return None if self.vial_holds is None else int(self.vial_holds / self.daily)

    def as_dict(self) -> dict[str, object]:
        """Form for JSON; amounts in ``unit``."""
        by_weekday = zip(EVERY_DAY, self.need_by_weekday, strict=True)
        told = {
            "medicine": self.medicine.name,
            "key": self.medicine.key,
            "unit": self.unit,
            "begins": self.begins,
            "opened_vial_is_past_its_date": self.opened_is_past,
            "need_a_day": self.daily,
            "need_a_day_with_loss": self.daily_with_loss,
            "need_by_weekday": {day.word: need for day, need in by_weekday},
            "loss_each_injection": self.loss,
            "loss_source": self.loss_figure.source if self.loss_figure else None,
            "vial_holds": self.vial_holds,
            "days_by_content": self.days_by_content,
            "days_in_use": self.medicine.in_use_days,
            "first_vial": self.first_vial,
            "first_vial_with_loss": self.first_vial_with_loss,
            "periods": self.periods,
        }
        return {key: write_plain(value) for key, value in told.items()}


class SyringeNeed(NamedTuple):
    """Syringes for a number of days from the supply's start, each used once."""

    days: int
    syringes: int


class Supply(NamedTuple):
    """Supply of a whole regimen; medicines no fill uses are left out."""

    start: date
    medicines: tuple[MedicineSupply, ...]
    syringes: tuple[SyringeNeed, ...]

    def as_dict(self) -> dict[str, object]:
        """Form for JSON."""
        return {key: write_plain(getattr(self, key)) for key in ("start", "syringes", "medicines")}


def plan_supply(regimen: Regimen, start: date, *, is_asked: bool = False) -> Supply:
    """Work out the supply of every medicine the fills use.

    Args:
        regimen: one that the rules pass.
        start: the day to count from where the file names no vial in use; usually the card's date.
        is_asked: count everything from ``start``, whatever day a vial was opened.

    Raises:
        ValueError: a dose cannot be turned into a volume; a regimen the rules pass has none.
        OverflowError: the dates leave the calendar.
    """
    used = {draw.medicine for fill in regimen.fills for draw in fill.draws}
    return Supply(
        start=start,
        medicines=tuple(
            _supply_medicine(medicine, regimen, start, is_asked=is_asked)
            for medicine in regimen.medicines
            if medicine.key in used
        ),
        syringes=tuple(SyringeNeed(days, _count_fills(regimen.fills, start, days)) for days in PERIODS_DAYS),
    )


def _count_fills(fills: tuple[Fill, ...], start: date, days: int) -> int:
    weekdays = [Weekday((start + timedelta(days=number)).weekday()) for number in range(days)]
    return sum(weekday in fill.days_given for fill in fills for weekday in weekdays)


def _supply_medicine(medicine: Medicine, regimen: Regimen, start: date, *, is_asked: bool) -> MedicineSupply:
    last_date = find_last_date(medicine)
    is_past = last_date is not None and last_date <= start
    opened = None if is_past else medicine.opened
    if is_asked and medicine.opened:
        # The vial of the file serves from its day, and others follow it, so that one of them is in use on the day asked
        # for; where it is opened later than that day it serves none of the days before.
        is_past, opened = False, medicine.opened if medicine.opened <= start else None
    begins = start if is_asked else opened or start
    first_draw = next(draw for fill in regimen.fills for draw in fill.draws if draw.medicine == medicine.key)
    unit_per_ml = first_draw.dose.amount / measure_draw_ml(first_draw, regimen)
    figure = None if medicine.route is Route.BY_MOUTH else find_loss(regimen.syringe.needle)
    loss = figure.value * unit_per_ml if figure else None
    needs = _list_needs(medicine, regimen, unit_per_ml)
    needs_with_loss = None if loss is None else tuple(tuple(need + loss for need in day) for day in needs)
    vial_holds = None if medicine.vial_ml is None else medicine.vial_ml * unit_per_ml

    def count_vials(needs: Needs | None) -> tuple[VialUse | None, tuple[VialCount | None, ...]]:
        """The vial in use when it begins, or the next, and the vials of each period.

        ``None`` where no vial is known that holds the largest fill.
        """
        if needs is not None and vial_holds is not None:
            expires = None if is_past else medicine.expires
            consumption = Consumption(needs, vial_holds, medicine.in_use_days, expires)
            if consumption.serves_from_one_vial:
                first = opened or consumption.find_first_day(begins)
                in_use = next(vial for vial in consumption.use_vials(first) if vial.thrown_away > begins)
                return in_use, tuple(consumption.count_vials(first, begins, days) for days in PERIODS_DAYS)
        return None, (None,) * len(PERIODS_DAYS)

    first_vial, counts = count_vials(needs)
    first_vial_with_loss, counts_with_loss = count_vials(needs_with_loss)
    return MedicineSupply(
        medicine=medicine,
        unit=first_draw.dose.unit,
        begins=begins,
        opened_is_past=is_past,
        needs=needs,
        loss=loss,
        loss_figure=figure,
        vial_holds=vial_holds,
        first_vial=first_vial,
        first_vial_with_loss=first_vial_with_loss,
        periods=tuple(
            Period(
                days=days,
                first=begins,
                last=begins + timedelta(days=days - 1),
                need=measure_need(needs, begins, days),
                need_with_loss=None if needs_with_loss is None else measure_need(needs_with_loss, begins, days),
                without_loss=without_loss,
                with_loss=with_loss,
            )
            for days, without_loss, with_loss in zip(PERIODS_DAYS, counts, counts_with_loss, strict=True)
        ),
    )


def _list_needs(medicine: Medicine, regimen: Regimen, unit_per_ml: Fraction) -> Needs:
    return tuple(
        tuple(
            measure_draw_ml(draw, regimen) * unit_per_ml
            for fill in regimen.fills
            if weekday in fill.days_given
            for draw in fill.draws
            if draw.medicine == medicine.key
        )
        for weekday in EVERY_DAY
    )
