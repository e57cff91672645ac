"""From a regimen to its plan: every fill's draws with their exact stops, and its steps, what is done in each being
the words of its message. No words and no pictures here; nothing is planned for a regimen a rule refuses.

The order of air, clear and cloudy is common practice, told alike in nursing-mixing-pages (no standard states
it). A step is as much as a hand does before the eye goes back to the card, so that twelve steps hold two medicines, ten
one, and eight one by mouth.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

from fillcards.catalogue.model import Motion, Route, ScaleName
from fillcards.geometry import count_to
from fillcards.plan.model import Draw, FillPlan, LineAmount, Plan, Step, StepKind
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
    return FillPlan(number, fill, planned, order_steps(planned, regimen.patient.kind))


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
        is_ml=regimen.syringe.scale is ScaleName.ML,
    )


_Row: TypeAlias = tuple[StepKind, LineAmount | None, Draw | None]
"""A row of a table: a step without its number."""


def order_steps(draws: tuple[Draw, ...], patient: PatientKind) -> tuple[Step, ...]:
    """All steps of a fill, from washing the hands to writing it down, numbered from 1.

    Args:
        draws: one or two, in the order they are drawn.
        patient: an animal's card tells no injection technique for people.
    """
    if draws[0].medicine.route is Route.BY_MOUTH:
        rows = _list_by_mouth(draws[0])
    elif len(draws) == 2:
        rows = _list_mixed(*draws, patient)
    else:
        rows = _list_single(draws[0], patient)
    return tuple(Step(number, *row) for number, row in enumerate(rows, start=1))


def _list_mixed(first: Draw, second: Draw, patient: PatientKind) -> Iterator[_Row]:
    """Air into the second vial, air into the first, draw the first, draw the second."""
    yield StepKind.WASH, None, None
    yield StepKind.TWO_LABELS, None, None
    if second.medicine.motion is not Motion.NONE:
        yield StepKind.TWO_MAKE_EVEN, None, second
    yield StepKind.TWO_LOOK, None, None
    if second.air is not None:
        yield StepKind.TWO_SECOND_AIR, second.air, second
    yield StepKind.TWO_FIRST_AIR, first.air, first
    # Bubbles are put right here, while all that is in the syringe belongs to this vial; after the second draw
    # nothing may go back into either.
    yield StepKind.TWO_DRAW, first.stop, first
    yield StepKind.TWO_CHECK, first.stop, first
    yield StepKind.TWO_DRAW_SECOND, second.stop, second
    yield StepKind.TWO_CHECK_TOTAL, second.stop, second
    yield _choose_injection(first.medicine.route, patient), None, None
    yield StepKind.FINISH, None, None


def _list_single(draw: Draw, patient: PatientKind) -> Iterator[_Row]:
    yield StepKind.WASH, None, None
    yield StepKind.ONE_LABEL, None, draw
    if draw.medicine.motion is not Motion.NONE:
        yield StepKind.ONE_MAKE_EVEN, None, draw
    yield StepKind.ONE_LOOK, None, draw
    yield StepKind.ONE_AIR, draw.air, draw
    yield StepKind.ONE_DRAW, draw.stop, draw
    yield StepKind.ONE_BUBBLE, draw.stop, draw
    yield StepKind.ONE_CHECK, draw.stop, draw
    yield _choose_injection(draw.medicine.route, patient), None, None
    yield StepKind.FINISH, None, None


def _list_by_mouth(draw: Draw) -> Iterator[_Row]:
    yield StepKind.MOUTH_LABEL, None, draw
    yield StepKind.MOUTH_SYRINGE, None, None
    yield StepKind.MOUTH_LOOK, None, draw
    yield StepKind.MOUTH_DRAW, draw.stop, draw
    yield StepKind.MOUTH_BUBBLE, draw.stop, draw
    yield StepKind.MOUTH_CHECK, draw.stop, draw
    yield StepKind.MOUTH_GIVE, None, None
    yield StepKind.MOUTH_RINSE, None, None


def _choose_injection(route: Route, patient: PatientKind) -> StepKind:
    if patient is PatientKind.ANIMAL:
        return StepKind.INJECT_ANIMAL
    return StepKind.INJECT_MUSCLE if route is Route.INTO_MUSCLE else StepKind.INJECT_SKIN


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
