"""The front of a fill: when, what to mind first, what is new, the one or two stops, and what stands under them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from fillcards.card.model import BarrelView, FillCard, Line, Panel, WriteIn
from fillcards.card.steps import build_steps, list_portions
from fillcards.catalogue.model import Route
from fillcards.picture.signs import Sign
from fillcards.plan.model import Draw, FillPlan, LineAmount
from fillcards.quantities import Quantity, Unit
from fillcards.regimen.model import EVERY_DAY, Fill, PatientKind, Regimen, ReplacedStop, Syringe
from fillcards.regimen.times import read_time
from fillcards.wording.messages import Say, Value, say

WEEKDAYS: Final = EVERY_DAY[:5]
WEEKENDS: Final = EVERY_DAY[5:]
HALF: Final = Fraction(1, 2)
COMMON_STRENGTH: Final = Quantity(Fraction(100), Unit.UNITS_PER_ML)
"""Of insulins; the vial of another could be taken for one of it."""


def build_fill(fill: FillPlan, regimen: Regimen) -> FillCard:
    """The patient's pages of one fill.

    Args:
        fill: as planned.
        regimen: whose card it is.
    """
    first, last = fill.first.stop, fill.last.stop
    time = read_time(fill.fill.when)
    return FillCard(
        number=fill.number,
        title=say_title(fill.fill, regimen.fills),
        sign=Sign[time.sign.name],
        clock=None if time.minute is None else divmod(time.minute, 60),
        above=tuple(_list_above(fill, regimen)),
        news=tuple(_list_news(fill, regimen)),
        panels=tuple(_build_panel(fill, index, regimen) for index in range(len(fill.draws))),
        below=tuple(_list_below(fill, regimen)),
        running=say("running-two", first=first, total=last) if fill.is_mixed else _say_running(last),
        steps=build_steps(fill, regimen),
        both=say("alt-barrel-both", first=first, total=last) if fill.is_mixed else None,
    )


def say_title(fill: Fill, fills: tuple[Fill, ...]) -> Say:
    """The name of a fill: its time, with its days where one word says them, or where another fill has the time too."""
    if fill.is_weekly:
        return say("title-day", day=fill.days_given, when=fill.when)
    days = tuple(sorted(fill.days_given, key=lambda day: day.value))
    named = {WEEKDAYS: "title-weekdays", WEEKENDS: "title-weekends"}.get(days)
    if named is None and sum(each.when == fill.when for each in fills) > 1:
        return say("title-days", days=fill.days_given, when=fill.when)
    return say(named or "title", when=fill.when)


def is_given(fill: FillPlan, regimen: Regimen) -> bool:
    """Whether it is given to somebody rather than injected by oneself: by mouth, or to an animal."""
    return fill.first.medicine.route is Route.BY_MOUTH or regimen.patient.kind is PatientKind.ANIMAL


def _say_running(stop: LineAmount) -> Say:
    return say("running-ml" if stop.is_ml else "running-line", number=stop.value)


def _list_above(fill: FillPlan, regimen: Regimen) -> Iterator[Say]:
    if regimen.patient.kind is PatientKind.ANIMAL:
        yield say("animal")
    is_daily = len(fill.fill.days_given) == len(EVERY_DAY)
    if not is_daily:
        days = fill.fill.days_given
        yield say("only-day", day=days) if fill.fill.is_weekly else say("only-days", days=days)
    if fill.fill.minutes_before is not None:
        message_id = "give-before-eating" if is_given(fill, regimen) else "inject-before-eating"
        yield say(message_id if is_daily else f"{message_id}-days", minutes=fill.fill.minutes_before)
    elif is_daily:
        yield say("every-day")
    if with_air := [draw for draw in fill.draws if draw.air is not None]:
        yield say("air-first" if len(with_air) == 1 else "air-first-two")


def _list_news(fill: FillPlan, regimen: Regimen) -> Iterator[Say]:
    """What differs from the same fill of the older card: same time, same days, same medicine."""
    replaces = regimen.replaces
    if replaces is None:
        return
    old = {
        stop.medicine: stop
        for stop in replaces.stops
        if stop.when == fill.fill.when and set(stop.days) == set(fill.fill.days_given)
    }
    if replaces.scale is regimen.syringe.scale or replaces.scale is None:
        news = [change for draw in fill.draws for change in _tell_change(draw, old.get(draw.medicine.name))]
    else:
        news = [say("news-syringe")]
    drawn = {draw.medicine.name for draw in fill.draws}
    kept = {medicine.name for medicine in regimen.medicines}
    news += [say("news-gone-here" if name in kept else "news-gone", medicine=name) for name in old if name not in drawn]
    times = {each.when for each in regimen.fills}
    stopped = dict.fromkeys(stop.when for stop in replaces.stops if stop.when not in times)
    news += [say("news-stopped", when=when) for when in stopped]
    yield from news or (say("news-none"),)
    yield say("news-throw", old_code=replaces.card_code)


def _tell_change(draw: Draw, old: ReplacedStop | None) -> Iterator[Say]:
    """What is new of a stop, on the scale it had."""
    if old is None:
        yield say("news-medicine", medicine=draw.medicine.name, stop=draw.stop)
    elif old.line != draw.stop_line:
        yield say("news", stop=draw.stop, old=LineAmount(old.line, draw.is_ml))
    elif old.dose not in {None, draw.dose}:
        yield say("news-dose", medicine=draw.medicine.name, dose=draw.dose, old_dose=old.dose)


def _build_panel(fill: FillPlan, index: int, regimen: Regimen) -> Panel:
    """One stop. A single medicine has its line in the bar; of two, the second is the total."""
    draw = fill.draws[index]
    is_total = index == 1
    name = draw.medicine.name
    bar = say(("bar-first", "bar-second")[index]) if fill.is_mixed else say("bar-single", stop=draw.stop)
    if is_total:
        names = {"first_medicine": fill.first.medicine.name, "second_medicine": name}
        alt = say("alt-barrel-total", first=fill.first.stop, total=draw.stop, **names)
    else:
        at = "-mouth" if draw.medicine.route is Route.BY_MOUTH else ""
        alt = say(f"alt-barrel-first{at}", medicine=name, stop=draw.stop)
    return Panel(
        bar=bar,
        short_bar=say("bar-second-short") if is_total else bar,
        medicine=say("panel-add" if is_total else "panel-medicine", medicine=name),
        dose=say("panel-dose", dose=draw.dose),
        notes=tuple(_list_notes(draw, is_total=is_total)),
        figure=say("figure", number=draw.stop_line),
        figure_words=say("figure-ml" if draw.is_ml else "figure-line", words=draw.stop_line),
        count=say_count(draw),
        sum=_say_sum(fill) if is_total else None,
        barrel=BarrelView(regimen.syringe, regimen.print.barrel, list_portions(fill.draws[: index + 1])),
        alt=alt,
        is_total=is_total,
    )


def _list_notes(draw: Draw, *, is_total: bool) -> Iterator[Say]:
    """The vial's mark; which vial, unless it is an insulin of the common strength; what another dose comes to."""
    medicine = draw.medicine
    if medicine.vial_mark:
        yield say("panel-mark", mark=medicine.vial_mark)
    if medicine.strength is not None and not (medicine.is_insulin and medicine.strength == COMMON_STRENGTH):
        kind = "-insulin" if medicine.is_insulin else "-bottle" if medicine.route is Route.BY_MOUTH else ""
        yield say(f"panel-says{kind}", label_strength=medicine.strength)
    if medicine.is_insulin:
        return
    volume = Quantity(draw.volume_ml, Unit.ML)
    if draw.dose.unit is Unit.ML:
        # The volume is the dose; the line of a second medicine is that of both.
        if not draw.is_ml and not is_total:
            yield say("dose-is-line", dose=draw.dose, stop=draw.stop)
    elif draw.is_ml or is_total:
        yield say("dose-is-volume", dose=draw.dose, volume=volume)
    else:
        yield say("dose-is", dose=draw.dose, volume=volume, stop=draw.stop)


def say_count(draw: Draw) -> Say:
    """How to count to a line. Barrels with half-unit lines differ in which of them are longer: none is called short."""
    count = draw.count
    if count.lines == 0:
        return say("count-number", number=count.value)
    size = "short" if count.all_short else "long" if count.all_long else "mixed"
    size = "any" if count.line_every == HALF else size
    if count.from_number == 0:
        return say(f"count-{size}-zero", lines=count.lines)
    return say(f"count-{size}", lines=count.lines, from_number=count.from_number)


def _say_sum(fill: FillPlan) -> Say | None:
    """How both doses add up, where the scale counts what the doses count."""
    first, second = fill.draws
    if first.is_ml or not first.dose.unit is second.dose.unit is Unit.UNITS:
        return None
    numbers = {"first_number": first.dose.amount, "second_number": second.dose.amount}
    return say("sum", total_number=second.stop_line, **numbers)


def _list_below(fill: FillPlan, regimen: Regimen) -> Iterator[Line]:
    is_mouth = fill.first.medicine.route is Route.BY_MOUTH
    yield _say_syringe(fill, regimen.syringe)
    if fill.is_mixed:
        yield say("past-two", total=fill.last.stop)
    else:
        yield say("past-mouth" if is_mouth else "past-one")
    if regimen.contacts:
        yield say("unsure", who=regimen.contacts[0].who, phone=regimen.contacts[0].phone)
    else:
        yield WriteIn(say("unsure-write"))
    for draw in fill.draws:
        if draw.medicine.warning:
            yield say("warning", medicine=draw.medicine.name, note=draw.medicine.warning)


def _say_syringe(fill: FillPlan, syringe: Syringe) -> Say:
    """Which syringe, and what one line of it is worth: units of an insulin, else mL."""
    words: dict[str, Value] = {"scale": syringe.scale, "last": syringe.last_line}
    per_ml = syringe.scale.units_per_ml
    if not fill.first.medicine.is_insulin or per_ml is None:
        each = Quantity(syringe.line_every / (per_ml or 1), Unit.ML)
        kind = "syringe-oral" if fill.first.medicine.route is Route.BY_MOUTH else "syringe"
        return say(kind, each=each, **words)
    if syringe.line_every == HALF:
        return say("syringe-half", **words)
    return say("syringe", each=Quantity(syringe.line_every, Unit.UNITS), **words)
