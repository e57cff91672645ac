"""How exactly a syringe can measure the doses of a regimen: the expected error of every draw.

A dose is taken as prescribed and never compared with another. Knows nothing of the catalogue's other syringes
(``plan.accuracy``) and of words for people (``wording.accuracy_words``).

Method. Each error is a limit that is not passed, the same over and under:

* the barrel's scale, as far as its standard lets it be off at a line;
* reading a line, half of the line spacing;
* the zero line, which the stopper's edge may miss with the plunger home.

A medicine drawn from the zero line carries scale and reading at its stop, and the zero line. A second medicine is the
difference of two readings: it carries scale and reading at both stops, and the zero line cancels. A barrel with a wrong
bore is off the same way at both stops, so the figure for the second medicine errs on the large side.

The *worst case* adds all limits up (exact). The *typical* error is one standard deviation: each limit is taken as a
rectangular distribution (limit / square root of 3) and the parts as independent, combined as root sum of squares
(JCGM 100:2008, 4.3.7 and 5.1.2, clause numbers from memory). A detachable needle moves a mixture one way, by an amount
that was measured; it is kept apart from the typical error and counted into the worst case.

Units: limits and errors are in the unit of the dose, lines in the scale's own numbers.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from enum import Enum
from fractions import Fraction
from math import sqrt
from typing import NamedTuple

from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Draw, FillPlan
from fillcards.plan.tolerances import (
    READING_SHARE,
    PublishedFigure,
    find_scale_figures,
    find_standard,
    measure_mis_split_ml,
    measure_scale_tolerance,
    measure_zero_tolerance,
)
from fillcards.quantities import Quantity
from fillcards.regimen.model import Regimen, Syringe


class ErrorCause(Enum):
    """Where a part of an error comes from."""

    SCALE = "scale of the barrel"
    READING = "reading the line"
    ZERO_LINE = "zero line"


class ErrorPart(NamedTuple):
    """One limit. ``at_line`` is the line it belongs to; ``limit`` is in the unit of the dose."""

    cause: ErrorCause
    at_line: Fraction
    limit: Fraction
    figures: tuple[PublishedFigure, ...]


class DrawError(NamedTuple):
    """What to expect when one medicine of one fill is drawn with one syringe. All amounts in the unit of ``dose``.

    Attributes:
        fill_number: counts from 1 in the file's order; ``when`` is the fill's name.
        stop_line: where the reading edge stands after the draw, in the scale's own numbers.
        is_difference: whether the dose is the difference of two stops.
        drift_least, drift_most: what a detachable needle adds to (above 0) or takes from (below 0) the medicine; the
            two ends of the published range, nearer 0 first.
    """

    fill_number: int
    when: str
    medicine: str
    dose: Quantity
    stop_line: Fraction
    is_difference: bool
    parts: tuple[ErrorPart, ...]
    drift_least: Fraction
    drift_most: Fraction

    @property
    def limit(self) -> Fraction:
        """All limits added up."""
        return sum((part.limit for part in self.parts), Fraction(0))

    @property
    def worst_over(self) -> Fraction:
        """The most the dose can be over, the needle's drift counted in."""
        return self.limit + max(Fraction(0), self.drift_most)

    @property
    def worst_under(self) -> Fraction:
        """The most the dose can be under, as a number above 0; never more than the dose itself."""
        return min(self.dose.amount, self.limit - min(Fraction(0), self.drift_most))

    @property
    def typical(self) -> float:
        """One standard deviation, without the needle's drift."""
        return sqrt(sum(float(part.limit) ** 2 for part in self.parts) / 3)

    def share_percent(self, amount: Fraction | float) -> float:
        """An amount in per cent of the dose."""
        return float(amount) * 100 / float(self.dose.amount)

    def as_dict(self) -> dict[str, object]:
        """Flat form for JSON; amounts in ``unit``."""
        return {
            "fill": self.fill_number,
            "when": self.when,
            "medicine": self.medicine,
            "dose": str(self.dose),
            "unit": self.dose.unit.value,
            "stop_line": float(self.stop_line),
            "is_difference_of_two_stops": self.is_difference,
            "typical": self.typical,
            "typical_percent": self.share_percent(self.typical),
            "worst_over": float(self.worst_over),
            "worst_over_percent": self.share_percent(self.worst_over),
            "worst_under": float(self.worst_under),
            "worst_under_percent": self.share_percent(self.worst_under),
            "needle_drift": [float(self.drift_least), float(self.drift_most)],
            "parts": [
                {
                    "cause": part.cause.value,
                    "at_line": float(part.at_line),
                    "limit": float(part.limit),
                    "sources": [figure.source for figure in part.figures],
                    "is_confirmed": all(figure.is_confirmed for figure in part.figures),
                }
                for part in self.parts
            ],
        }


def measure_drawing_errors(regimen: Regimen, syringe: Syringe) -> tuple[DrawError, ...]:
    """The expected error of each medicine in each fill, drawn with that syringe; in the order of drawing.

    Raises:
        RegimenRefused: if a rule refuses the regimen with that syringe, such as a dose that falls between two lines.

    Source: each part names its own; see the module's method.
    """
    plan = plan_fills(replace(regimen, syringe=syringe))
    return tuple(error for fill in plan.fills for error in _measure_fill(fill, syringe))


def _measure_fill(fill: FillPlan, syringe: Syringe) -> Iterator[DrawError]:
    least_ml, most_ml = measure_mis_split_ml(syringe) if fill.is_mixed else (Fraction(0), Fraction(0))
    for draw in fill.draws:
        dose_per_line = draw.dose.amount / (draw.stop_line - draw.start_line)
        dose_per_ml = draw.dose.amount / draw.volume_ml
        sign = 1 if draw is fill.first else -1
        yield DrawError(
            fill_number=fill.number,
            when=fill.fill.when,
            medicine=draw.medicine.name,
            dose=draw.dose,
            stop_line=draw.stop_line,
            is_difference=draw.start_line > 0,
            parts=tuple(_measure_parts(draw, syringe, dose_per_line)),
            drift_least=sign * least_ml * dose_per_ml,
            drift_most=sign * most_ml * dose_per_ml,
        )


def _measure_parts(draw: Draw, syringe: Syringe, dose_per_line: Fraction) -> Iterator[ErrorPart]:
    reading = READING_SHARE.value * syringe.line_every
    for line in (draw.stop_line, draw.start_line):
        if line > 0:
            tolerance = measure_scale_tolerance(syringe, line)
            yield ErrorPart(ErrorCause.SCALE, line, tolerance * dose_per_line, find_scale_figures(syringe, line))
            yield ErrorPart(ErrorCause.READING, line, reading * dose_per_line, (READING_SHARE,))
        else:
            zero_line = find_standard(syringe.scale, syringe.capacity_ml).zero_line
            limit = measure_zero_tolerance(syringe) * dose_per_line
            yield ErrorPart(ErrorCause.ZERO_LINE, line, limit, (zero_line,))
