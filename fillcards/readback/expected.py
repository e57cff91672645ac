"""What a card must say, straight from the regimen, by arithmetic that is simple on purpose and shares nothing with the
plan that drew the card. Amounts are exact; lines are in the scale's own numbers.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from fillcards.catalogue.model import Route, ScaleName
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen.free_words import says_name
from fillcards.regimen.model import Fill, Medicine, Regimen, Syringe, Weekday

MICROGRAMS: Final = {Unit.MCG: 1, Unit.MCG_PER_ML: 1, Unit.MG: 1000, Unit.MG_PER_ML: 1000}
LINES_A_ML: Final = {ScaleName.U_100: 100, ScaleName.U_40: 40, ScaleName.U_500: 500, ScaleName.ML: 1}


class ExpectedDraw(NamedTuple):
    """One medicine going in.

    Attributes:
        alone: the line the dose reaches by itself, which its air is pulled to as well.
        stop: where the reading edge stands after it.
        look: ``clear`` or ``cloudy`` where two vials are told apart, else ``None``.
    """

    medicine: Medicine
    dose: Quantity
    volume_ml: Fraction
    alone: Fraction
    stop: Fraction
    look: str | None


class ExpectedAct(NamedTuple):
    """A step that names an amount or a vial. ``kind`` is one of the sentences of ``phrases``."""

    kind: str
    draw: ExpectedDraw
    line: Fraction | None = None


class ExpectedFill(NamedTuple):
    """One fill with its draws in the order of drawing."""

    fill: Fill
    draws: tuple[ExpectedDraw, ...]

    @property
    def is_mixed(self) -> bool:
        """Whether two medicines share the syringe."""
        return len(self.draws) > 1


def expect_fills(regimen: Regimen) -> tuple[ExpectedFill, ...]:
    """Every fill, in the file's order."""
    return tuple(ExpectedFill(fill, _expect_draws(fill, regimen)) for fill in regimen.fills)


def _expect_draws(fill: Fill, regimen: Regimen) -> tuple[ExpectedDraw, ...]:
    """The clear one first; what is cloudy must never get into the clear vial."""
    medicines = {medicine.key: medicine for medicine in regimen.medicines}
    clear = [draw for draw in fill.draws if not medicines[draw.medicine].is_cloudy]
    cloudy = [draw for draw in fill.draws if medicines[draw.medicine].is_cloudy]
    draws: list[ExpectedDraw] = []
    in_syringe = Fraction(0)
    for prescribed in clear + cloudy:
        medicine = medicines[prescribed.medicine]
        volume_ml = _measure_ml(prescribed.dose, medicine.strength)
        alone = volume_ml * LINES_A_ML[regimen.syringe.scale]
        in_syringe += alone
        look = ("cloudy" if medicine.is_cloudy else "clear") if len(fill.draws) > 1 else None
        draws.append(ExpectedDraw(medicine, prescribed.dose, volume_ml, alone, in_syringe, look))
    return tuple(draws)


def _measure_ml(dose: Quantity, strength: Quantity | None) -> Fraction:
    if strength is None or dose.unit is Unit.ML:
        return dose.amount
    return dose.amount * MICROGRAMS.get(dose.unit, 1) / (strength.amount * MICROGRAMS.get(strength.unit, 1))


def expect_label_words(medicine: Medicine) -> str:
    """What the card must have the reader look for on a vial: the file's words, or the name, each with the strength."""
    words = medicine.on_the_label or medicine.name
    if medicine.row is None and not says_name(words, medicine.name):
        words = f"{medicine.name}, {words}"
    strength = write_quantity(medicine.strength) if medicine.strength else ""
    return words if strength in words else f"{words}, {strength}"


def write_amount(value: Fraction, medicine: Medicine, syringe: Syringe) -> str:
    """A line as the card must word it: a line of a unit scale is a dose for insulin only."""
    if syringe.scale is ScaleName.ML:
        return f"{write_number(value)} mL"
    if not medicine.is_insulin:
        return f"line {write_number(value)}"
    return f"{write_number(value)} {'unit' if value == 1 else 'units'}"


def is_dose_the_line(draw: ExpectedDraw, syringe: Syringe) -> bool:
    """Whether the number of the dose is the number of the line, so that nothing needs explaining."""
    if syringe.scale is ScaleName.ML:
        return draw.dose.unit is Unit.ML
    return draw.medicine.is_insulin and draw.dose.unit is Unit.UNITS


def expect_acts(fill: ExpectedFill) -> tuple[ExpectedAct, ...]:
    """The steps from the first air to the last look at the line, in their order.

    Source of the order: common practice, told alike by the nursing pages of facts 4.1.
    """
    first, last = fill.draws[0], fill.draws[-1]
    acts: list[ExpectedAct] = []
    if fill.is_mixed and last.medicine.takes_air:
        acts += [ExpectedAct("air", last, last.alone), ExpectedAct("push", last), ExpectedAct("out", last)]
    if first.medicine.takes_air and first.medicine.route is not Route.BY_MOUTH:
        acts += [ExpectedAct("air", first, first.alone), ExpectedAct("push", first)]
    else:
        acts.append(ExpectedAct("into", first))
    acts.append(ExpectedAct("draw first" if fill.is_mixed else "draw", first, first.stop))
    acts += [ExpectedAct("again", first, first.stop), ExpectedAct("on", first, first.stop), ExpectedAct("out", first)]
    if fill.is_mixed:
        acts += [ExpectedAct("into", last), ExpectedAct("draw total", last, last.stop)]
        acts += [ExpectedAct("on", last, last.stop), ExpectedAct("out", last)]
    return tuple(acts)


def list_long_lines(syringe: Syringe, first: Fraction, last: Fraction) -> frozenset[Fraction]:
    """Lines between two that are longer than others: none where all of them are alike."""
    values = [first]
    while values[-1] < last:
        values.append(values[-1] + syringe.line_every)
    long = {value for value in values if value % syringe.numbered_every == 0 or value % syringe.long_every == 0}
    return frozenset() if len(long) == len(values) else frozenset(long)


def write_table_row(draw: ExpectedDraw, syringe: Syringe) -> tuple[str, ...]:
    """The cells of the maker's table, without the first."""
    strength = write_quantity(draw.medicine.strength) if draw.medicine.strength else "not needed"
    air = write_amount(draw.alone, draw.medicine, syringe) if draw.medicine.takes_air else "no air"
    return (
        write_quantity(draw.dose),
        strength,
        write_quantity(Quantity(draw.volume_ml, Unit.ML)),
        air,
        write_amount(draw.stop, draw.medicine, syringe),
    )


def read_days(text: str) -> frozenset[Weekday]:
    """The days a text names: ``Monday and Thursday``, ``Monday to Friday``, ``Every day but Sunday``; all if none."""
    words = text.replace(",", " ").split()
    numbers = [
        (position, Weekday[word.upper()]) for position, word in enumerate(words) if word.upper() in Weekday.__members__
    ]
    days = {day for _, day in numbers}
    if len(numbers) == 2 and words[numbers[0][0] + 1] == "to":
        days = {day for day in Weekday if numbers[0][1].value <= day.value <= numbers[1][1].value}
    if "but" in words:
        return frozenset(Weekday) - days
    return frozenset(days or Weekday)
