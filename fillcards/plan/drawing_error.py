"""How exactly a syringe can measure the doses of a regimen: the expected error of every draw.

A dose is taken as prescribed and never compared with another. Knows nothing of the catalogue's other syringes
(``plan.accuracy``) and of words for people.

What the standards and the published measurements allow a syringe to be off by stands below as exact figures, each with
its source and how it reached us; what is from memory or from a damaged copy says so and carries no claim of conformity.

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
from typing import Final, NamedTuple, TypeAlias

from fillcards.catalogue.model import ScaleName
from fillcards.catalogue.sources import Evidence
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Draw, FillPlan, write_plain
from fillcards.quantities import Quantity
from fillcards.regimen.model import Needle, Regimen, Syringe


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

    def as_dict(self) -> dict[str, object]:
        """Form for JSON."""
        sources, is_confirmed = [each.source for each in self.figures], all(each.is_confirmed for each in self.figures)
        told = {"cause": self.cause, "at_line": self.at_line, "limit": self.limit, "sources": sources}
        return {key: write_plain(value) for key, value in told.items()} | {"is_confirmed": is_confirmed}


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
        return sqrt(sum(part.limit**2 for part in self.parts) / 3)

    def share_percent(self, amount: Fraction | float) -> float:
        """An amount in per cent of the dose."""
        return float(amount) * 100 / float(self.dose.amount)

    def as_dict(self) -> dict[str, object]:
        """Flat form for JSON; amounts in ``unit``."""
        told = {
            "fill": self.fill_number,
            "when": self.when,
            "medicine": self.medicine,
            "dose": str(self.dose),
            "unit": self.dose.unit,
            "stop_line": self.stop_line,
            "is_difference_of_two_stops": self.is_difference,
            "typical": self.typical,
            "typical_percent": self.share_percent(self.typical),
            "worst_over": self.worst_over,
            "worst_over_percent": self.share_percent(self.worst_over),
            "worst_under": self.worst_under,
            "worst_under_percent": self.share_percent(self.worst_under),
            "needle_drift": (self.drift_least, self.drift_most),
            "parts": self.parts,
        }
        return {key: write_plain(value) for key, value in told.items()}


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


class PublishedFigure(NamedTuple):
    """One number taken from outside.

    Attributes:
        value: in the unit the name of the constant says.
        source: key into the catalogue's sources.
        note: anything a reader must know before relying on it.
    """

    value: Fraction
    source: str
    evidence: Evidence
    note: str = ""

    @property
    def is_confirmed(self) -> bool:
        """Whether the value was seen, in the source or in an account of it, or follows from one that was."""
        return self.evidence in (Evidence.SEEN, Evidence.SECONDARY, Evidence.DERIVED)


class BarrelStandard(NamedTuple):
    """What one standard allows one class of barrel.

    Attributes:
        least_capacity_ml: the class holds barrels from here up to the next class.
        upper: share of the expelled volume, at or above half the nominal capacity.
        lower_nominal, lower_expelled: share of the nominal capacity and share of the expelled volume that are added
            up below half the nominal capacity.
        zero_line: share of the smallest interval by which the stopper's edge may miss the zero line, plunger home.
        dead_space_ml: most that may stay in a barrel whose needle comes off.
    """

    least_capacity_ml: Fraction
    upper: PublishedFigure
    lower_nominal: PublishedFigure
    lower_expelled: PublishedFigure
    zero_line: PublishedFigure
    dead_space_ml: PublishedFigure


_DAMAGED: Final = "the copy read was damaged; completed from memory"
_DAMAGED_SHARE: Final = (
    f"{_DAMAGED}; ISO 7886-1 has 1.5 % for 1 mL (smtl-togc-2016), and with it the two rules meet at half the capacity"
)

INSULIN_STANDARD: Final = BarrelStandard(
    least_capacity_ml=Fraction(0),
    upper=PublishedFigure(Fraction(5, 100), "iso-8537-2007", Evidence.SEEN),
    lower_nominal=PublishedFigure(Fraction(15, 1000), "iso-8537-2007", Evidence.MEMORY, _DAMAGED_SHARE),
    lower_expelled=PublishedFigure(Fraction(2, 100), "iso-8537-2007", Evidence.SEEN),
    zero_line=PublishedFigure(Fraction(1, 2), "iso-8537-2007", Evidence.MEMORY, _DAMAGED),
    dead_space_ml=PublishedFigure(Fraction(7, 100), "dead-space-iso-2018", Evidence.SECONDARY),
)
"""ISO 8537:2007, section 8 and 9.1, for every scale in units; dead space after ISO 7886-1 for want of a figure."""


_Told: TypeAlias = tuple[str, Evidence]
_RECALLED: Final = "iso-7886-1-1993", Evidence.MEMORY
_BY_LABORATORY: Final = "smtl-togc-2016", Evidence.SECONDARY
_BY_STUDY: Final = "dead-space-iso-2018", Evidence.SECONDARY


def _hypodermic(
    least_ml: int, upper: int, lower: int, dead_space: str, upper_by: _Told, lower_by: _Told, dead_space_by: _Told
) -> BarrelStandard:
    return BarrelStandard(
        least_capacity_ml=Fraction(least_ml),
        upper=PublishedFigure(Fraction(upper, 100), *upper_by),
        lower_nominal=PublishedFigure(Fraction(15, 1000), *lower_by),
        lower_expelled=PublishedFigure(Fraction(lower, 100), *lower_by),
        zero_line=PublishedFigure(Fraction(1, 4), *_RECALLED),
        dead_space_ml=PublishedFigure(Fraction(dead_space), *dead_space_by),
    )


HYPODERMIC_STANDARDS: Final = (
    _hypodermic(50, 4, 1, "0.2", _RECALLED, _RECALLED, _RECALLED),
    _hypodermic(30, 4, 1, "0.17", _RECALLED, _RECALLED, _RECALLED),
    _hypodermic(20, 4, 1, "0.15", _RECALLED, _RECALLED, _RECALLED),
    _hypodermic(10, 4, 1, "0.1", _RECALLED, _BY_LABORATORY, _BY_STUDY),
    _hypodermic(5, 4, 1, "0.075", _RECALLED, _RECALLED, _BY_STUDY),
    _hypodermic(2, 5, 2, "0.07", _RECALLED, _RECALLED, _BY_STUDY),
    _hypodermic(0, 5, 2, "0.07", _BY_LABORATORY, _BY_LABORATORY, _BY_STUDY),
)
"""ISO 7886-1:1993, Table 1, largest class first, for every scale in mL. What no account confirms is from memory."""

READING_SHARE: Final = PublishedFigure(
    Fraction(1, 2), "common-practice", Evidence.COMMON_PRACTICE, "a plunger can be told to be nearer this line or that"
)
"""Share of the line spacing by which a stop may be misread."""

MIS_SPLIT_LEAST_ML: Final = PublishedFigure(Fraction(33, 1000), "dead-space-1986", Evidence.SEEN)
MIS_SPLIT_MOST_ML: Final = PublishedFigure(Fraction(65, 1000), "dead-space-1986", Evidence.SEEN)
"""What a detachable needle adds to the first medicine of a mixture and takes from the second (1 mL barrel, n = 41)."""

FIXED_NEEDLE_LOSS_ML: Final = PublishedFigure(Fraction(11, 1000), "dead-space-1986", Evidence.SEEN)
"""Lost with each injection from a syringe with a fixed needle."""

DETACHABLE_NEEDLE_LOSS_ML: Final = PublishedFigure(
    Fraction(64, 2 * 365), "dead-space-1986", Evidence.DERIVED, "64 mL a year at two injections a day"
)
"""Lost with each injection from a syringe with a detachable needle."""


def find_standard(scale: ScaleName, capacity_ml: Fraction) -> BarrelStandard:
    """The standard's class for a barrel: ISO 8537 for a scale in units, ISO 7886-1 by capacity for one in mL."""
    if scale is not ScaleName.ML:
        return INSULIN_STANDARD
    return next(row for row in HYPODERMIC_STANDARDS if capacity_ml >= row.least_capacity_ml)


def measure_scale_tolerance(syringe: Syringe, value: Fraction) -> Fraction:
    """How far the volume expelled from a line may be off, in the scale's own numbers; the same over and under.

    Args:
        syringe: whose scale it is; only scale and capacity count.
        value: the line, from 0 to the last line.

    Source: see ``INSULIN_STANDARD`` and ``HYPODERMIC_STANDARDS``.
    """
    standard = find_standard(syringe.scale, syringe.capacity_ml)
    if value * 2 >= syringe.last_line:
        return standard.upper.value * value
    return standard.lower_nominal.value * syringe.last_line + standard.lower_expelled.value * value


def find_scale_figures(syringe: Syringe, value: Fraction) -> tuple[PublishedFigure, ...]:
    """The figures ``measure_scale_tolerance`` rests on at that line."""
    standard = find_standard(syringe.scale, syringe.capacity_ml)
    if value * 2 >= syringe.last_line:
        return (standard.upper,)
    return (standard.lower_nominal, standard.lower_expelled)


def measure_zero_tolerance(syringe: Syringe) -> Fraction:
    """How far the stopper's edge may miss the zero line with the plunger home, in the scale's own numbers."""
    return find_standard(syringe.scale, syringe.capacity_ml).zero_line.value * syringe.line_every


def measure_mis_split_ml(syringe: Syringe) -> tuple[Fraction, Fraction]:
    """Least and most that the first medicine of a mixture gains and the second loses, in mL; zeros unless detachable.

    The published range is for a 1 mL barrel. A larger one that may hold back more is given its standard's limit.
    """
    if syringe.needle is not Needle.DETACHABLE:
        return Fraction(0), Fraction(0)
    standard = find_standard(syringe.scale, syringe.capacity_ml)
    most = MIS_SPLIT_MOST_ML.value
    if syringe.capacity_ml > 1:
        most = max(most, standard.dead_space_ml.value)
    return MIS_SPLIT_LEAST_ML.value, most


def find_loss(needle: Needle) -> PublishedFigure | None:
    """What stays behind with each injection, in mL; nothing is published for an oral syringe."""
    return {Needle.FIXED: FIXED_NEEDLE_LOSS_ML, Needle.DETACHABLE: DETACHABLE_NEEDLE_LOSS_ML}.get(needle)
