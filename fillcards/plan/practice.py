"""Lines to practice on: three easy ones on the patient's own barrel. None is a line that this patient ever stops at.

The rule is fixed, so that the same file gives the same sheet: first a numbered line; then the line after a number;
then, for somebody who mixes, a numbered line and a total two lines after a number, else the line before a number. Of
the numbers that serve, the one nearest a fixed place of the scale is taken. No source: exercises are no doses.
"""

from __future__ import annotations

from fractions import Fraction

from fillcards.plan.model import LineAmount, Plan


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
