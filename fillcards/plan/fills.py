"""From a regimen to its plan: every fill's draws with their exact stops, and the acts in order.

Nothing is planned for a regimen a rule refuses. No words and no pictures here.
"""

from __future__ import annotations

from fractions import Fraction

from fillcards.catalogue.model import ScaleName
from fillcards.geometry import count_to
from fillcards.plan.model import Draw, FillPlan, LineAmount, Plan
from fillcards.plan.reading import measure_draw_line, measure_draw_ml, order_draws
from fillcards.plan.rules import check_rules
from fillcards.plan.steps import order_steps
from fillcards.problems import Problem, RegimenRefused, is_refused
from fillcards.regimen.model import Fill, PrescribedDraw, Regimen


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
