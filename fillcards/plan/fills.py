"""From a regimen to its plan: every fill's draws with their exact stops, and its steps, which group the acts for every
form of the card. No words and no pictures here; nothing is planned for a regimen a rule refuses.

The order of air, clear and cloudy is common practice, told alike in nursing-mixing-pages (no standard states
it). A step is as much as a hand does before the eye goes back to the card, so that twelve steps hold two medicines, ten
one, and eight one by mouth.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.geometry import count_to
from fillcards.plan.model import Act, Draw, FillPlan, LineAmount, Plan, Step, StepKind
from fillcards.plan.reading import measure_draw_line, measure_draw_ml, order_draws
from fillcards.plan.rules import check_rules
from fillcards.problems import Problem, RegimenRefused, is_refused
from fillcards.regimen.model import Fill, PatientKind, PrescribedDraw, Regimen


def plan_fills(regimen: Regimen, found: tuple[Problem, ...] | None = None) -> Plan:
    """Plan every fill.

    Args:
        regimen: as read from the file.
        found: every problem that was found, by whoever asked the rules already.

    Returns:
        The plan, its fills in the file's order and numbered from 1.

    Raises:
        RegimenRefused: if any rule refuses; carries the cautions too.
    """
    problems = check_rules(regimen) if found is None else found
    if is_refused(problems):
        raise RegimenRefused(problems)
    fills = tuple(_plan_fill(number, fill, regimen) for number, fill in enumerate(regimen.fills, start=1))
    return Plan(regimen, fills, problems)


def _plan_fill(number: int, fill: Fill, regimen: Regimen) -> FillPlan:
    draws: list[Draw] = []
    line = Fraction(0)
    for prescribed in order_draws(fill, regimen):
        draw = _plan_draw(prescribed, line, regimen)
        draws.append(draw)
        line = draw.stop_line
    planned = tuple(draws)
    return FillPlan(number, fill, planned, order_steps(planned, fill, regimen.patient.kind))


def _plan_draw(prescribed: PrescribedDraw, start_line: Fraction, regimen: Regimen) -> Draw:
    medicine = regimen.find_medicine(prescribed.medicine)
    dose_line = measure_draw_line(prescribed, regimen)
    stop_line = start_line + dose_line
    return Draw(
        medicine=medicine,
        dose=prescribed.dose,
        volume_ml=measure_draw_ml(prescribed, regimen),
        start_line=start_line,
        stop_line=stop_line,
        count=count_to(regimen.syringe, stop_line),
        air_line=dose_line if medicine.takes_air else None,
        air_count=count_to(regimen.syringe, dose_line) if medicine.takes_air else None,
        is_ml=regimen.syringe.scale is ScaleName.ML,
    )


class _Row(NamedTuple):
    """A row of a table: a step without its number."""

    kind: StepKind
    acts: tuple[Act, ...]
    amount: LineAmount | None = None
    draw: Draw | None = None


_LABEL: Final = (Act.READ_LABEL, Act.CHECK_DATE, Act.CHECK_ENOUGH)
_LOOK: Final = (Act.LOOK, Act.WIPE, Act.LET_TOP_DRY)
_AIR: Final = (Act.STAND, Act.PULL_AIR, Act.PUSH_AIR, Act.LEAVE_NEEDLE_IN)
_NO_AIR: Final = (Act.STAND, Act.PUSH_PLUNGER_IN, Act.PUSH_NEEDLE_IN, Act.LEAVE_NEEDLE_IN)
_DRAW: Final = (Act.TURN_OVER, Act.KEEP_POINT_IN_LIQUID, Act.DRAW)
_SECOND_AIR: Final = (Act.STAND_SECOND, Act.PULL_SECOND_AIR, Act.PUSH_AIR_ABOVE_LIQUID, Act.TAKE_OUT_EMPTY)
_CHECK_FIRST: Final = (Act.CHECK_EDGE, Act.REDRAW_PAST, Act.TAKE_OUT, Act.LEAVE_PLUNGER)
_DRAW_SECOND: Final = (
    *(Act.CHECK_UNMOVED, Act.ENTER_SECOND, Act.TURN_SECOND_OVER, Act.DRAW_SECOND),
    Act.PUSH_NOTHING_BACK,
)
_CHECK_TOTAL: Final = (Act.CHECK_TOTAL, Act.PULL_ON, Act.DISCARD_MIX, Act.TAKE_OUT_OF_SECOND)
_FROM_BOTTLE: Final = (Act.PUSH_PLUNGER_IN, Act.PUT_TIP_INTO_BOTTLE, Act.DRAW)
_INJECT: Final = (
    *(Act.CHOOSE_PLACE, Act.CLEAN_SKIN, Act.LET_SKIN_DRY, Act.LIFT_SKIN),
    *(Act.PUT_NEEDLE_IN, Act.PUSH_ALL, Act.TAKE_OUT_OF_SKIN),
)


def order_steps(draws: tuple[Draw, ...], fill: Fill, patient: PatientKind) -> tuple[Step, ...]:
    """All steps of a fill, from washing the hands to writing it down, numbered from 1.

    Args:
        draws: one or two, in the order they are drawn.
        fill: for its days and the minutes before eating.
        patient: an animal's card tells no injection or feeding technique for people.
    """
    if draws[0].medicine.route is Route.BY_MOUTH:
        rows = _list_by_mouth(draws[0], fill, patient)
    elif len(draws) == 2:
        rows = _list_mixed(*draws, fill, patient)
    else:
        rows = _list_single(draws[0], fill, patient)
    return tuple(Step(number, *row) for number, row in enumerate(rows, start=1))


def _list_mixed(first: Draw, second: Draw, fill: Fill, patient: PatientKind) -> Iterator[_Row]:
    """Air into the second vial, air into the first, draw the first, draw the second."""
    yield _wash()
    yield _Row(StepKind.TWO_LABELS, _LABEL)
    yield from _make_even(StepKind.TWO_MAKE_EVEN, second)
    yield _Row(StepKind.TWO_LOOK, _LOOK)
    if second.air is not None:
        yield _Row(StepKind.TWO_SECOND_AIR, _SECOND_AIR, second.air, second)
    yield _Row(StepKind.TWO_FIRST_AIR, _AIR if first.air else _NO_AIR, first.air, first)
    # Bubbles are put right here, while all that is in the syringe belongs to this vial; after the second draw
    # nothing may go back into either.
    yield _Row(StepKind.TWO_DRAW, (*_DRAW, Act.REDRAW_BUBBLE), first.stop, first)
    yield _Row(StepKind.TWO_CHECK, _CHECK_FIRST, first.stop, first)
    yield _Row(StepKind.TWO_DRAW_SECOND, _DRAW_SECOND, second.stop, second)
    yield _Row(StepKind.TWO_CHECK_TOTAL, _CHECK_TOTAL, second.stop, second)
    yield from _finish(first.medicine.route, fill, patient)


def _list_single(draw: Draw, fill: Fill, patient: PatientKind) -> Iterator[_Row]:
    yield _wash()
    yield _Row(StepKind.ONE_LABEL, (*_check_day(fill), *_LABEL), draw=draw)
    yield from _make_even(StepKind.ONE_MAKE_EVEN, draw)
    yield _Row(StepKind.ONE_LOOK, _LOOK, draw=draw)
    yield _Row(StepKind.ONE_AIR, _AIR if draw.air else _NO_AIR, draw.air, draw)
    yield _Row(StepKind.ONE_DRAW, _DRAW, draw.stop, draw)
    yield _Row(StepKind.ONE_BUBBLE, (Act.REDRAW_BUBBLE, Act.REDRAW_PAST), draw.stop, draw)
    yield _Row(StepKind.ONE_CHECK, (Act.CHECK_EDGE, Act.TAKE_OUT), draw.stop, draw)
    yield from _finish(draw.medicine.route, fill, patient)


def _list_by_mouth(draw: Draw, fill: Fill, patient: PatientKind) -> Iterator[_Row]:
    yield _Row(StepKind.MOUTH_LABEL, (*_check_day(fill), Act.WASH_HANDS, *_LABEL), draw=draw)
    yield _Row(StepKind.MOUTH_SYRINGE, (Act.TAKE_ORAL_SYRINGE,))
    shake = (Act.SHAKE,) if draw.medicine.motion is Motion.SHAKE else ()
    yield _Row(StepKind.MOUTH_LOOK, (*shake, Act.LOOK), draw=draw)
    yield _Row(StepKind.MOUTH_DRAW, _FROM_BOTTLE, draw.stop, draw)
    yield _Row(StepKind.MOUTH_BUBBLE, (Act.REDRAW_BUBBLE, Act.REDRAW_PAST), draw.stop, draw)
    yield _Row(StepKind.MOUTH_CHECK, (Act.CHECK_EDGE, Act.TAKE_TIP_OUT, Act.CLOSE_BOTTLE), draw.stop, draw)
    is_animal = patient is PatientKind.ANIMAL
    give = (Act.AS_VETERINARIAN_TAUGHT,) if is_animal else (Act.SIT_UP, Act.GIVE_INTO_CHEEK)
    yield _Row(StepKind.MOUTH_GIVE, (*give, Act.CALL_IF_SPAT_OUT))
    yield _Row(StepKind.MOUTH_RINSE, (Act.RINSE, *_write_down(fill)))


def _wash() -> _Row:
    return _Row(StepKind.WASH, (Act.WASH_HANDS, Act.TAKE_NEW_SYRINGE, Act.TAKE_CAP_OFF))


def _make_even(kind: StepKind, draw: Draw) -> Iterator[_Row]:
    """Rolled and tipped, or shaken; no step where the medicine needs neither."""
    match draw.medicine.motion:
        case Motion.ROLL:
            yield _Row(kind, (Act.ROLL, Act.TIP), draw=draw)
        case Motion.SHAKE:
            yield _Row(kind, (Act.SHAKE,), draw=draw)
        case Motion.NONE:
            pass


def _finish(route: Route, fill: Fill, patient: PatientKind) -> Iterator[_Row]:
    if patient is PatientKind.ANIMAL:
        yield _Row(StepKind.INJECT_ANIMAL, (Act.AS_VETERINARIAN_TAUGHT,))
    elif route is Route.INTO_MUSCLE:
        yield _Row(StepKind.INJECT_MUSCLE, (Act.CHANGE_NEEDLE, *_INJECT))
    else:
        yield _Row(StepKind.INJECT_SKIN, _INJECT)
    eat = (Act.EAT,) if fill.minutes_before is not None and not fill.is_weekly else ()
    yield _Row(StepKind.FINISH, (Act.NO_CAP, Act.INTO_SHARPS, Act.NEVER_AGAIN, *_write_down(fill), *eat))


def _check_day(fill: Fill) -> tuple[Act, ...]:
    return (Act.CHECK_DAY,) if fill.is_weekly else ()


def _write_down(fill: Fill) -> tuple[Act, ...]:
    return (Act.WRITE_DAY, Act.WRITE_TIME) if fill.is_weekly else (Act.WRITE_TIME,)


def choose_practice(plan: Plan) -> tuple[tuple[LineAmount, ...], ...]:
    """Three exercises, each a line, or a first line and a total. Values are in the scale's own numbers."""
    syringe = plan.regimen.syringe
    line, number, last = syringe.line_every, syringe.numbered_every, syringe.last_line
    count = int(last / number)
    middle = (count + 1) // 2
    draws = [draw for fill in plan.fills for draw in fill.draws]
    taken = {draw.stop_line for draw in draws} | {draw.air_line for draw in draws}

    def choose(start: int, after: Fraction, least: Fraction, most: Fraction) -> Fraction:
        """A line so far after a number, or any line, that nobody stops at."""
        near = (
            number * index + after for index in sorted(range(count + 1), key=lambda each: (abs(each - start), each))
        )
        every = (line * index for index in range(int(last / line) + 1))
        fit = [value for value in (*near, *every) if least < value <= most]
        chosen = next((value for value in fit if value not in taken), fit[0])
        taken.add(chosen)
        return chosen

    zero = Fraction(0)
    easy: list[tuple[Fraction, ...]] = [(choose(middle, zero, zero, last),)]
    easy.append((choose(middle - 1, line, zero, last),))
    if any(fill.is_mixed for fill in plan.fills):
        first = choose(max(count // 4, 1), zero, zero, last - line)
        easy.append((first, choose(3 * count // 4, 2 * line, first, last)))
    else:
        easy.append((choose(middle + 1, -line, zero, last),))
    is_ml = plan.fills[0].first.is_ml
    return tuple(tuple(LineAmount(value, is_ml) for value in each) for each in easy)
