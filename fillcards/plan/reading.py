"""The one reading rule: dose -> volume -> line on the scale; and the order in which two medicines are drawn.

Everything is exact. Lines are in the scale's own numbers (units on a unit scale, mL on an mL scale). Whether a line is
printed on a given barrel, and whether the medicine may go on the scale at all, is for the rules, not for this module.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate

from fillcards.catalogue.model import ScaleName
from fillcards.quantities import Quantity, convert_dose_to_volume_ml
from fillcards.regimen.model import Fill, Medicine, PrescribedDraw, Regimen


def measure_line(dose: Quantity, strength: Quantity | None, scale: ScaleName) -> Fraction:
    """The line a dose alone reaches, counted from the zero line.

    Args:
        dose: in units, mg, mcg or mL.
        strength: of the vial; needed unless the dose is in mL.
        scale: the scale that is read.

    Returns:
        The exact value of the line, printed or not.

    Units: the scale's own numbers.

    Raises:
        ValueError: if the strength is missing or counts something else than the dose.

    Source: a unit scale has its number of lines in each mL (ISO 8537:2007, words on the barrel).
    """
    return convert_dose_to_volume_ml(dose, strength) * (scale.units_per_ml or 1)


def is_measurable(draw: PrescribedDraw, regimen: Regimen) -> bool:
    """Whether the dose and the strength of its medicine give a volume."""
    try:
        convert_dose_to_volume_ml(draw.dose, regimen.find_medicine(draw.medicine).strength)
    except ValueError:
        return False
    return True


def measure_draw_ml(draw: PrescribedDraw, regimen: Regimen) -> Fraction:
    """Exact volume of one dose in mL.

    Raises:
        ValueError: as ``convert_dose_to_volume_ml``.
    """
    return convert_dose_to_volume_ml(draw.dose, regimen.find_medicine(draw.medicine).strength)


def measure_draw_line(draw: PrescribedDraw, regimen: Regimen) -> Fraction:
    """The line one dose alone reaches on the regimen's syringe; also the line its air is pulled to.

    Raises:
        ValueError: as ``measure_line``.
    """
    return measure_line(draw.dose, regimen.find_medicine(draw.medicine).strength, regimen.syringe.scale)


def order_draws(fill: Fill, regimen: Regimen) -> tuple[PrescribedDraw, ...]:
    """The fill's draws in the order of drawing: clear before cloudy, whatever the file's order.

    Source: common practice, no source beyond the nursing pages of facts 4.1; the clear vial must not receive what
    makes the other one cloudy.
    """
    return tuple(sorted(fill.draws, key=lambda draw: regimen.find_medicine(draw.medicine).is_cloudy))


def list_stops(fill: Fill, regimen: Regimen) -> tuple[Fraction, ...]:
    """Where the reading edge stands after each draw: each stop is the sum of the doses so far.

    Raises:
        ValueError: as ``measure_line``.
    """
    return tuple(accumulate(measure_draw_line(draw, regimen) for draw in order_draws(fill, regimen)))


def list_fill_medicines(fill: Fill, regimen: Regimen) -> tuple[Medicine, ...]:
    """The medicines of a fill in the file's order."""
    return tuple(regimen.find_medicine(draw.medicine) for draw in fill.draws)
