"""Doses and lines as a person reads them on this barrel. A line is not a dose.

Insulin on the unit scale of its strength reads as units; anything on an mL scale reads as mL; any other medicine on a
unit scale reads as a bare line ("line 10"), because "10 units" of it would be a wrong dose (FDA alert of 26 July 2024
on dosing errors with medicines in mg drawn up in insulin syringes).
"""

from __future__ import annotations

from fractions import Fraction

from fillcards.catalogue.model import ScaleName
from fillcards.plan.model import Draw
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen.model import Medicine, Syringe


def reads_in_units(medicine: Medicine, syringe: Syringe) -> bool:
    """Whether the numbers of this scale are units of this medicine."""
    return medicine.is_insulin and syringe.scale is not ScaleName.ML


def reads_as_line(medicine: Medicine, syringe: Syringe) -> bool:
    """Whether the numbers of this scale are only lines for this medicine: a unit scale, and no insulin."""
    return not medicine.is_insulin and syringe.scale is not ScaleName.ML


def write_line(value: Fraction, medicine: Medicine, syringe: Syringe) -> str:
    """A line with what it counts: ``8 units``, ``0.4 mL``, ``line 10``.

    Args:
        value: in the scale's own numbers.
        medicine: what is drawn to the line.
        syringe: whose scale it is.
    """
    if reads_as_line(medicine, syringe):
        return f"line {write_number(value)}"
    return write_quantity(Quantity(value, Unit.UNITS if reads_in_units(medicine, syringe) else Unit.ML))


def write_unit_word(value: Fraction, medicine: Medicine, syringe: Syringe) -> str:
    """The words beside a large figure: ``units``, ``unit``, ``mL``, ``line 10``."""
    line = write_line(value, medicine, syringe)
    return line if reads_as_line(medicine, syringe) else line.split(" ", 1)[1]


def write_line_every(medicine: Medicine, syringe: Syringe) -> str:
    """What one line is worth: ``Each line is 1 unit.``, ``Each line is half a unit.``, ``Each line counts 1.``"""
    if reads_as_line(medicine, syringe):
        return f"Each line counts {write_number(syringe.line_every)}."
    if reads_in_units(medicine, syringe) and syringe.line_every == Fraction(1, 2):
        return "Each line is half a unit."
    return f"Each line is {write_line(syringe.line_every, medicine, syringe)}."


def write_dose_equals(draw: Draw, syringe: Syringe) -> str:
    """Dose, volume and line together: ``0.25 mg is 0.1 mL. On this syringe, that is line 10.``

    For a medicine whose dose is not what the scale counts; the three together let a slip of ten be noticed.
    """
    line = write_line(draw.stop_line, draw.medicine, syringe)
    volume = write_quantity(Quantity(draw.volume_ml, Unit.ML))
    dose = write_quantity(draw.dose)
    if draw.start_line:
        # The second stop is a sum: its line must not be read as the line of this dose alone.
        return f"{dose} is {volume}. It goes on top of the first."
    if not reads_as_line(draw.medicine, syringe):
        return f"{dose} is {volume}."
    if draw.dose.unit is Unit.ML:
        return f"{dose} is {line} on this syringe."
    return f"{dose} is {volume}. On this syringe, that is {line}."


def dose_is_line(draw: Draw, syringe: Syringe) -> bool:
    """Whether the number of the dose is the number on the scale, so that nothing needs explaining."""
    if syringe.scale is ScaleName.ML:
        return draw.dose.unit is Unit.ML
    return reads_in_units(draw.medicine, syringe) and draw.dose.unit is Unit.UNITS
